"""An answer as bytes: the same for every face."""

import msgspec
from msgspec import Struct


def encode(answer: Struct) -> bytes:
    """JSON, indented by two, with a final newline."""
    return msgspec.json.format(msgspec.json.encode(answer), indent=2) + b"\n"
