"""What holds for every reply: the host, HEAD as GET, Vary, Allow, caching, other origins, 304 for what is known."""

from typing import Any, TypeAlias

from litestar.enums import ScopeType
from litestar.response.base import ASGIResponse
from litestar.types import ASGIApp, HTTPScope, Message, Receive, Scope, Send

from upfeed.reading.faults import quoted
from upfeed.reading.nearest import either
from upfeed.web.conditional import has_already
from upfeed.web.cors import granted, preflight
from upfeed.web.fields import asked, raw
from upfeed.web.hosts import host_of
from upfeed.web.problem import PROBLEM_JSON, Problem, flaw, problem
from upfeed.web.replies import pretty

_OF_CONTENT = (b"content-encoding", b"content-length", b"content-type")

_Fields: TypeAlias = dict[bytes, bytes]


class Envelope:
    """Wraps an application; without `hosts` it answers for any."""

    def __init__(self, app: ASGIApp, origins: frozenset[str], hosts: frozenset[str]) -> None:
        self._app, self._origins, self._hosts = app, origins, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request (or whatever else a server sends)."""
        if scope["type"] != ScopeType.HTTP:
            await self._app(scope, receive, send)
            return
        seal = _Seal(scope, self._origins, send)
        wrong = self._wrong_host(asked(scope, b"host")) if self._hosts else None
        if wrong:
            body = ASGIResponse(body=pretty(wrong), media_type=PROBLEM_JSON, status_code=wrong.status)
            await body(scope, receive, seal.send)
            return
        inner: Any = {**scope, "method": "GET"} if scope["method"] == "HEAD" else scope
        await self._app(inner, receive, seal.send)

    def _wrong_host(self, named: list[str]) -> Problem | None:
        host = host_of(named)
        if host in self._hosts:
            return None
        wrong = flaw(
            "header", "/host", quoted(", ".join(named)) if named else "no host", either(sorted(self._hosts))
        )
        if host is None:
            return problem("unreadable-request", "The Host field can't be read.", [wrong])
        return problem("wrong-host", "The request was sent to another host.", [wrong])


class _Seal:
    """Sends the messages of one reply, its head completed and its body left out where it is not wanted."""

    def __init__(self, scope: HTTPScope, origins: frozenset[str], send: Send) -> None:
        self._scope, self._origins, self._send = scope, origins, send
        self._method = scope["method"]
        self._bodiless = self._method == "HEAD"

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            fields = self._complete(dict(message["headers"]))
            if message["status"] == 200 and self._is_known(fields):
                message["status"] = 304
                self._bodiless = True
                fields = {name: value for name, value in fields.items() if name not in _OF_CONTENT}
            message["headers"] = list(fields.items())
        elif message["type"] == "http.response.body" and self._bodiless:
            message["body"] = b""
        await self._send(message)

    def _complete(self, fields: _Fields) -> _Fields:
        whole = {b"cache-control": b"no-store", **fields, b"vary": b"Accept-Encoding, Origin"}
        allowed = _allowed(fields[b"allow"].decode()) if b"allow" in fields else ""
        if allowed:
            whole[b"allow"] = allowed.encode()
        grants = granted("".join(asked(self._scope, b"origin")), self._origins)
        if grants and self._method == "OPTIONS" and allowed:
            grants |= preflight(allowed)
        return whole | raw(grants)

    def _is_known(self, fields: _Fields) -> bool:
        if self._method not in ("GET", "HEAD") or b"etag" not in fields:
            return False
        return has_already(", ".join(asked(self._scope, b"if-none-match")), fields[b"etag"].decode())


def _allowed(methods: str) -> str:
    """The methods in order; whatever takes GET takes HEAD."""
    found = {method.strip() for method in methods.split(",")}
    return ", ".join(sorted(found | {"HEAD"} if "GET" in found else found))
