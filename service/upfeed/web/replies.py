"""Replies: bytes under a strong entity tag that is known from what was asked of what."""

import hashlib
from collections.abc import Mapping
from typing import Any

import msgspec
from litestar import Response
from litestar.response.base import ASGIResponse
from litestar.types import Receive, Scope, Send

from upfeed.answering.digests import program
from upfeed.answering.library import Library
from upfeed.web.fields import raw
from upfeed.web.negotiation import Coding
from upfeed.web.problem import PROBLEM_JSON, Problem
from upfeed.web.query import canonical

FRESH = "public, max-age=60, must-revalidate"


class _Messages(ASGIResponse):
    """A head and a body, sent as they are."""

    def __init__(
        self, status: int, fields: Mapping[str, str], body: bytes
    ) -> None:  # the base would make them anew
        self._status, self._fields, self._whole = status, list(raw(fields).items()), body

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": self._status, "headers": self._fields})
        await send({"type": "http.response.body", "body": self._whole, "more_body": False})


class Whole(Response[bytes]):
    """A reply with every field of its head, to which the framework has nothing to add.

    What it does for any other (encoders, cookies, media types) costs a kept answer as much as finding it.
    """

    def __init__(self, content: bytes, status: int, fields: Mapping[str, str]) -> None:
        self.content, self.status_code = content, status
        self._messages = _Messages(status, fields, content)

    def to_asgi_response(self, *_: Any, **__: Any) -> ASGIResponse:
        """The messages, as they are."""
        return self._messages


def answer_key(library: Library, *asked: str) -> str:
    """What an answer goes by: the same program, knowledge, rules and request always give the same bytes."""
    told = (program(), library.knowledge.digest, library.rulebook.digest, *asked)
    return hashlib.sha256(msgspec.json.encode(told)).hexdigest()[:40]


def computed_key(library: Library, path: str, query: Mapping[str, str], meaning: object) -> str:
    """What an answer that takes computing goes by: the parameters that hold, and what was sent in canonical form."""
    said = hashlib.sha256(msgspec.json.encode(meaning)).hexdigest()
    return answer_key(library, path, canonical(query), said)


def sent_as(library: Library, path: str, query: bytes, body: bytes) -> str:
    """The digest of a request as it came, byte for byte, to be answered from this library."""
    head = f"{library.knowledge.digest} {library.rulebook.digest} {len(path)} {path} {len(query)} "
    return hashlib.sha256(b"".join((head.encode(), query, b" ", body))).hexdigest()


def tagged(key: str, coding: Coding) -> str:
    """The strong entity tag of an answer in a coding; each coding has bytes, and so a tag, of its own."""
    return f'"{key}"' if coding == "identity" else f'"{key}-{coding}"'


def pretty(content: msgspec.Struct) -> bytes:
    """JSON, indented by two, with a final newline."""
    return msgspec.json.format(msgspec.json.encode(content), indent=2) + b"\n"


def reply(
    content: bytes,
    tag: str,
    coding: Coding,
    headers: Mapping[str, str] | None = None,
    media: str = "application/json",
) -> Response[bytes]:
    """An answer that may be kept for a minute and asked for again by its tag."""
    written = f"{media}; charset=utf-8" if media.startswith("text/") else media
    told = {"Content-Type": written, "Content-Length": str(len(content)), "ETag": tag, "Cache-Control": FRESH}
    return Whole(content, 200, {**told, **_coded(coding), **(headers or {})})


def _coded(coding: Coding) -> Mapping[str, str]:
    return {} if coding == "identity" else {"Content-Encoding": coding}


def reply_in_part(content: bytes, coding: Coding, later: Mapping[str, str]) -> Response[bytes]:
    """An answer of which something is still to come: nobody keeps it, and `later` tells when to ask again."""
    told = {
        "Content-Type": "application/json",
        "Content-Length": str(len(content)),
        "Cache-Control": "no-store",
    }
    return Whole(content, 200, {**told, **_coded(coding), **later})


def known_already(tag: str) -> Response[bytes]:
    """That what the asker has is still right (RFC 9110, 15.4.5)."""
    return Whole(b"", 304, {"ETag": tag, "Cache-Control": FRESH})


def refused(problem: Problem, headers: Mapping[str, str] | None = None) -> Response[bytes]:
    """A problem, which nobody keeps."""
    told = {"Cache-Control": "no-store", **(headers or {})}
    return Response(pretty(problem), status_code=problem.status, media_type=PROBLEM_JSON, headers=told)
