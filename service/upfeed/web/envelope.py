"""What holds for every reply: HEAD as GET, Vary, Allow, caching, other origins, and 304 for what is known."""

from typing import Any

from litestar.datastructures import Headers, MutableScopeHeaders
from litestar.enums import ScopeType
from litestar.types import ASGIApp, HTTPScope, Message, Receive, Scope, Send

from upfeed.web.conditional import has_already
from upfeed.web.cors import granted, preflight


class Envelope:
    """Wraps an application."""

    def __init__(self, app: ASGIApp, origins: frozenset[str]) -> None:
        self._app, self._origins = app, origins

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request (or whatever else a server sends)."""
        if scope["type"] != ScopeType.HTTP:
            await self._app(scope, receive, send)
            return
        inner: Any = {**scope, "method": "GET"} if scope["method"] == "HEAD" else scope
        await self._app(inner, receive, _Seal(scope, self._origins, send).send)


class _Seal:
    """Sends the messages of one reply, its head completed and its body left out where it is not wanted."""

    def __init__(self, scope: HTTPScope, origins: frozenset[str], send: Send) -> None:
        self._method, self._asked = scope["method"], Headers.from_scope(scope)
        self._origins, self._send = origins, send
        self._bodiless = self._method == "HEAD"

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableScopeHeaders.from_message(message)
            self._complete(headers)
            if message["status"] == 200 and self._is_known(headers):
                message["status"] = 304
                self._bodiless = True
                _drop(headers, "content-type", "content-length")
        elif message["type"] == "http.response.body" and self._bodiless:
            message["body"] = b""
        await self._send(message)

    def _complete(self, headers: MutableScopeHeaders) -> None:
        headers["Vary"] = "Accept-Encoding, Origin"
        headers.setdefault("Cache-Control", "no-store")
        if "allow" in headers:
            headers["Allow"] = _allowed(headers["allow"])
        grants = granted(self._asked.get("origin", ""), self._origins)
        if grants and self._method == "OPTIONS" and "allow" in headers:
            grants |= preflight(headers["allow"])
        headers.update(grants)

    def _is_known(self, headers: MutableScopeHeaders) -> bool:
        if self._method not in ("GET", "HEAD") or "etag" not in headers:
            return False
        return has_already(", ".join(self._asked.getall("if-none-match", [])), headers["etag"])


def _allowed(methods: str) -> str:
    """The methods in order; whatever takes GET takes HEAD."""
    found = {method.strip() for method in methods.split(",")}
    return ", ".join(sorted(found | {"HEAD"} if "GET" in found else found))


def _drop(headers: MutableScopeHeaders, *names: str) -> None:
    for name in names:
        if name in headers:
            del headers[name]
