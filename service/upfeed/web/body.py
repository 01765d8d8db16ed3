"""Reads a build from the body of a request, strictly: its type, its size, its JSON, its meaning."""

import re
from typing import Any

from litestar import Request
from litestar.types import Receive

from upfeed.answering.library import Library
from upfeed.knowledge.records import BuildSheet
from upfeed.knowledge.sheet import read_sheet
from upfeed.reading.faults import DataFaults, Fault, quoted
from upfeed.reading.nodes import Mapping, Node, Scalar
from upfeed.reading.yamltree import read_json
from upfeed.web.fields import asked
from upfeed.web.gzipped import Larger, inflated
from upfeed.web.problem import Refusal, body_flaw, flaw

JSON = "application/json"

_LENGTH = re.compile("[0-9]{1,12}")


async def json_body(request: Request[Any, Any, Any]) -> bytes:
    """The bytes of a JSON body, out of their coding. Raises Refusal for another type of content or another coding."""
    _check_type(request)
    coding = next(iter(asked(request.scope, b"content-encoding")), "identity").lower()
    if coding not in ("identity", "gzip"):
        wrong = flaw("header", "/content-encoding", quoted(coding), "gzip, or a body without a coding")
        raise Refusal("wrong-content", "The body is coded otherwise.", [wrong], {"Accept-Encoding": "gzip"})
    body = await _received(request)
    return body if coding == "identity" else _inflated(body, request)


async def _received(request: Request[Any, Any, Any]) -> bytes:
    """The bytes as they were sent; the framework, which takes longer, puts together what comes in pieces.

    Raises HTTPException for more than the route takes.
    """
    most, told = _most(request), asked(request.scope, b"content-length")
    if len(told) == 1 and _LENGTH.fullmatch(told[0]) and int(told[0]) <= most:
        first = await request.receive()
        if first["type"] == "http.request" and not first.get("more_body") and len(first["body"]) <= most:
            return first["body"]
        request.receive = _begun_with(first, request.receive)
    return await request.body()


def _begun_with(first: Any, receive: Receive) -> Receive:
    """What is received, with what was taken of it already."""
    taken = [first]

    async def again() -> Any:
        return taken.pop() if taken else await receive()

    return again


def _most(request: Request[Any, Any, Any]) -> int:
    return request.route_handler.resolve_request_max_body_size() or 0


def _inflated(body: bytes, request: Request[Any, Any, Any]) -> bytes:
    most = _most(request)
    try:
        return inflated(body, most)
    except Larger as larger:
        wrong = flaw("body", "", f"more than {most} bytes in gzip", f"at most {most} bytes")
        raise Refusal("too-large", "What comes out of the coding is too large.", [wrong]) from larger
    except ValueError as broken:
        wrong = flaw("body", "", "bytes that are not one whole gzip member", "what Content-Encoding says")
        raise Refusal("unreadable-body", "The body is not coded by gzip.", [wrong]) from broken


def _check_type(request: Request[Any, Any, Any]) -> None:
    if asked(request.scope, b"content-type")[:1] == [JSON]:
        return
    media, options = request.content_type
    if media.lower() == JSON and options.get("charset", "utf-8").lower() == "utf-8":
        return
    written = request.headers.get("content-type")
    found = "no content type" if written is None else quoted(written)
    raise Refusal(
        "wrong-content",
        "A build is sent as JSON in UTF-8.",
        [flaw("header", "/content-type", found, JSON)],
        {"Accept": JSON},
    )


def read_body(body: bytes) -> tuple[Node, list[Fault]]:
    """The tree of a JSON body and the faults found in reading it. Raises Refusal where nothing can be read."""
    faults: list[Fault] = []
    node = read_json(body, faults)
    if node is None:
        raise Refusal("unreadable-body", "The body can't be read as JSON.", map(body_flaw, faults))
    return node, faults


def sheet_of(node: Node, faults: list[Fault], library: Library) -> BuildSheet:
    """The build that a tree holds. Raises DataFaults with everything wrong, faults found before included."""
    sheet = read_sheet(node, library.knowledge, library.vocabulary, faults)
    if sheet is None or faults:
        raise DataFaults(faults)
    return sheet


def canonical(node: Node) -> Any:
    """A tree without its origins, keys in order: the same for bodies that say the same."""
    if isinstance(node, Scalar):
        return [node.form, node.text]
    if isinstance(node, Mapping):
        return {key: canonical(below) for key, below in sorted(node.entries.items())}
    return [[canonical(item) for item in node.items]]
