"""Replies: bytes of JSON under a strong entity tag that is known from what was asked of what."""

import hashlib
from collections.abc import Mapping

import msgspec
from litestar import Response

from upfeed.answering.digests import program
from upfeed.answering.library import Library
from upfeed.web.problem import PROBLEM_JSON, Problem

FRESH = "public, max-age=60, must-revalidate"


def entity_tag(library: Library, *asked: str) -> str:
    """A strong tag: the same program, knowledge, rules and request always give the same bytes."""
    told = (program(), library.knowledge.digest, library.rulebook.digest, *asked)
    return f'"{hashlib.sha256(msgspec.json.encode(told)).hexdigest()[:40]}"'


def pretty(content: msgspec.Struct) -> bytes:
    """JSON, indented by two, with a final newline."""
    return msgspec.json.format(msgspec.json.encode(content), indent=2) + b"\n"


def reply(content: bytes, tag: str, headers: Mapping[str, str] | None = None) -> Response[bytes]:
    """An answer that may be kept for a minute and asked for again by its tag."""
    told = {"ETag": tag, "Cache-Control": FRESH, **(headers or {})}
    return Response(content, media_type="application/json", headers=told)


def refused(problem: Problem, headers: Mapping[str, str] | None = None) -> Response[bytes]:
    """A problem, which nobody keeps."""
    told = {"Cache-Control": "no-store", **(headers or {})}
    return Response(pretty(problem), status_code=problem.status, media_type=PROBLEM_JSON, headers=told)
