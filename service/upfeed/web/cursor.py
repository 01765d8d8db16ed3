"""Cursors of lists: where a page ended, and in which state of the knowledge."""

import base64
import binascii

from upfeed.reading.faults import quoted
from upfeed.web.operation import Parameter
from upfeed.web.problem import Refusal, flaw

_LENGTH = 16
"""Of a digest's figures: enough to tell two states apart."""

CURSOR = Parameter(
    name="cursor",
    description=(
        "Where the page before ended: what `next` of that page holds. It goes with one state of the knowledge; when"
        " that changes, a cursor of the old state is refused and the list is to be begun anew."
    ),
    expected="what `next` of a page holds",
    pattern="[A-Za-z0-9_-]+",
    schema={"type": "string", "pattern": "^[A-Za-z0-9_-]+$", "maxLength": 200},
)


def cursor_after(id_: str, digest: str) -> str:
    """The cursor of a page that ends with this id."""
    return base64.urlsafe_b64encode(f"{digest[:_LENGTH]}.{id_}".encode()).decode().rstrip("=")


def read_cursor(text: str, digest: str) -> str:
    """The id that the page before ended with. Raises Refusal for what is no cursor, or one of another state."""
    try:
        told = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True).decode("ascii")
    except (binascii.Error, UnicodeDecodeError):
        told = ""
    state, dot, id_ = told.partition(".")
    if not dot or len(state) != _LENGTH or cursor_after(id_, state) != text:
        wrong = flaw("query", "/cursor", quoted(text), CURSOR.expected)
        raise Refusal("unreadable-query", "The query can't be used.", [wrong])
    if state != digest[:_LENGTH]:
        wrong = flaw(
            "query", "/cursor", "a cursor of another state of the knowledge", "no cursor, to begin anew"
        )
        raise Refusal("stale-cursor", "What is known has changed since the page before.", [wrong])
    return id_
