"""An answer as bytes: the same for every face."""

import msgspec

from upfeed.answering.answer import Answer


def encode(answer: Answer) -> bytes:
    """JSON, indented by two, with a final newline."""
    return msgspec.json.format(msgspec.json.encode(answer), indent=2) + b"\n"
