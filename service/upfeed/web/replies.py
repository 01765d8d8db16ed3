"""Replies: bytes under a strong entity tag that is known from what was asked of what."""

import hashlib
from collections.abc import Mapping

import msgspec
from litestar import Response

from upfeed.answering.digests import program
from upfeed.answering.library import Library
from upfeed.web.negotiation import Coding
from upfeed.web.problem import PROBLEM_JSON, Problem

FRESH = "public, max-age=60, must-revalidate"


def answer_key(library: Library, *asked: str) -> str:
    """What an answer goes by: the same program, knowledge, rules and request always give the same bytes."""
    told = (program(), library.knowledge.digest, library.rulebook.digest, *asked)
    return hashlib.sha256(msgspec.json.encode(told)).hexdigest()[:40]


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
    coded = {} if coding == "identity" else {"Content-Encoding": coding}
    told = {"ETag": tag, "Cache-Control": FRESH, **coded, **(headers or {})}
    return Response(content, media_type=media, headers=told)


def known_already(tag: str) -> Response[bytes]:
    """That what the asker has is still right (RFC 9110, 15.4.5)."""
    return Response(b"", status_code=304, headers={"ETag": tag, "Cache-Control": FRESH})


def refused(problem: Problem, headers: Mapping[str, str] | None = None) -> Response[bytes]:
    """A problem, which nobody keeps."""
    told = {"Cache-Control": "no-store", **(headers or {})}
    return Response(pretty(problem), status_code=problem.status, media_type=PROBLEM_JSON, headers=told)
