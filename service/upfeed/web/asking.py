"""One request as the routes see it: read strictly before anything else, and its answer tagged, coded and kept."""

import hashlib
import re
from collections.abc import Callable, Mapping
from typing import Any, Literal, TypeAlias, TypeVar

from litestar import Request, Response
from litestar.concurrency import sync_to_thread
from litestar.datastructures import State
from litestar.exceptions import NotFoundException
from msgspec import Struct

from upfeed.answering.library import Library
from upfeed.reading.faults import quoted
from upfeed.web.answers import Answers, Work
from upfeed.web.conditional import has_already
from upfeed.web.fields import asked
from upfeed.web.gzipped import deflated
from upfeed.web.negotiation import Coding, accepts, coding
from upfeed.web.operation import Operation
from upfeed.web.problem import Refusal, flaw
from upfeed.web.query import Query, canonical, read_query, settled
from upfeed.web.replies import (
    answer_key,
    computed_key,
    known_already,
    pretty,
    reply,
    reply_in_part,
    sent_as,
    tagged,
)

Asked: TypeAlias = Request[Any, Any, State]
Found: TypeAlias = Literal["computed", "kept", "unchanged"]

_Read = TypeVar("_Read")

_NOTED = "upfeed"
"""Where a request's state holds what was noted of it."""


class Noted(Struct):
    """What was found out about a request: its route, the coding of its answer, its query, and how it was answered."""

    route: str
    coding: Coding
    query: Query
    media: str = "application/json"
    found: Found | None = None


_DOUBLED = re.compile(rb"//|.+/$", re.DOTALL)
"""What routing would let by: slashes in a row, and one at the end."""


async def strictly(request: Asked) -> None:
    """Refuse a second address for the same thing, an answer that is not accepted, and a query that is not taken."""
    if _DOUBLED.search(request.scope.get("raw_path", b"")):
        raise NotFoundException
    operation = request.route_handler.opt.get("operation")
    if isinstance(operation, Operation):
        noted = Noted(request.scope["path_template"], "identity", Query({}, []), operation.media)
        request.scope["state"][_NOTED] = noted
        noted.coding = _negotiated(request, operation.media)
        noted.query = read_query(request.scope["query_string"], operation.query, operation.open)


def _negotiated(request: Asked, media: str) -> Coding:
    types, codings = (", ".join(asked(request.scope, name)) for name in (b"accept", b"accept-encoding"))
    found, wrong = coding(codings), []
    if not accepts(types, media):
        wrong.append(flaw("header", "/accept", quoted(types), media))
    if found is None:
        wrong.append(flaw("header", "/accept-encoding", quoted(codings), "gzip or identity"))
    if found is None or wrong:
        raise Refusal("not-acceptable", "Nothing can be sent that the request accepts.", wrong)
    return found


def noted_of(scope: Any) -> Noted | None:
    """What was noted of a request; None where it came to no operation."""
    return (scope.get("state") or {}).get(_NOTED)


def query_of(request: Asked) -> dict[str, str]:
    """The query's parameters by name."""
    return dict(_noted(request).query.named)


def settled_query_of(request: Asked) -> dict[str, str]:
    """The query's parameters by name, with what holds for those left out."""
    operation: Operation = request.route_handler.opt["operation"]
    return settled(_noted(request).query.named, operation.query)


def coding_of(request: Asked) -> Coding:
    """The coding of the answer."""
    return _noted(request).coding


def open_query_of(request: Asked) -> list[tuple[str, str]]:
    """Parameters whose names are open, in the order in which they came."""
    return list(_noted(request).query.open)


def _noted(request: Asked) -> Noted:
    noted: Noted = request.scope["state"][_NOTED]
    return noted


def answer(
    request: Asked, library: Library, content: Struct | bytes, link: str | None = None
) -> Response[bytes]:
    """An answer that takes no computing; `link` is the address of the next page.

    Bytes do not follow from the library alone, as the contract does not, which tells the limits in force.
    """
    body, said = (
        (content, hashlib.sha256(content).hexdigest())
        if isinstance(content, bytes)
        else (pretty(content), "")
    )
    query, used = _noted(request).query, _noted(request).coding
    asked_of = canonical(query.named), canonical(dict(query.open)), said
    tag = tagged(answer_key(library, request.scope["path"], *asked_of), used)
    headers = {"Link": f'<{link}>; rel="next"'} if link else {}
    return reply(deflated(body) if used == "gzip" else body, tag, used, headers, _noted(request).media)


async def computed(
    request: Asked, library: Library, answers: Answers, sent: bytes, read: Callable[[], tuple[object, Work]]
) -> Response[bytes]:
    """An answer that takes computing: known already, kept, or computed; `read` tells how, as for `kept_or_read`."""
    known = await kept_or_read(request, library, answers, sent, read)
    if isinstance(known, Response):
        return known
    key, work = known
    content = await answers.of(key, coding_of(request), work)
    return answered(request, key, content, "computed")


async def kept_or_read(
    request: Asked, library: Library, answers: Answers, sent: bytes, read: Callable[[], tuple[object, _Read]]
) -> Response[bytes] | tuple[str, _Read]:
    """The reply where nothing need be computed, else the key of the answer and what `read` made of the request.

    `read` tells what was sent, a body or a query, says in canonical form, and what is made of it; it raises what is
    wrong with it. It is not asked where these very bytes have been answered from this library.
    """
    came_as = sent_as(library, request.scope["path"], request.scope["query_string"], sent)
    known = answers.remembered(came_as)
    ready = None if known is None else await _ready(request, answers, known.decode())
    if ready is not None:
        return ready
    meaning, made = await sync_to_thread(read)
    key = computed_key(library, request.scope["path"], settled_query_of(request), meaning)
    answers.remember(came_as, key.encode())
    return await _ready(request, answers, key) or (key, made)


async def _ready(request: Asked, answers: Answers, key: str) -> Response[bytes] | None:
    """What can be sent without computing: that nothing is new, or an answer that was kept."""
    used = coding_of(request)
    tag = tagged(key, used)
    if request.method == "GET" and has_already(", ".join(asked(request.scope, b"if-none-match")), tag):
        _noted(request).found = "unchanged"
        return known_already(tag)
    content = await answers.kept(key, used)
    return None if content is None else answered(request, key, content, "kept")


def answered(request: Asked, key: str, content: bytes, found: Found) -> Response[bytes]:
    """The reply with an answer, in the coding that was asked for, by how it was found."""
    _noted(request).found = found
    used, media = _noted(request).coding, _noted(request).media
    return reply(content, tagged(key, used), used, media=media)


def answered_in_part(
    request: Asked, content: bytes, later: Mapping[str, str], found: Found
) -> Response[bytes]:
    """The reply with an answer of which something is still to come, and after how long."""
    _noted(request).found = found
    return reply_in_part(content, _noted(request).coding, later)
