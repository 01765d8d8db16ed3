"""Counts every request and writes a line about it, without anything of what was sent or of the query."""

import time
from collections.abc import Callable
from typing import Any

from litestar.enums import ScopeType
from litestar.types import ASGIApp, Message, Receive, Scope, Send

from upfeed.web.asking import noted_of
from upfeed.web.logs import line
from upfeed.web.metrics import Metrics

_NOWHERE = "none"
"""The route of what nothing is at."""

_LONGEST_PATH = 200


class Observing:
    """Wraps an application; without a log it only counts."""

    def __init__(self, app: ASGIApp, metrics: Metrics, log: Callable[[str], object] | None) -> None:
        self._app, self._metrics, self._log = app, metrics, log

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request (or whatever else a server sends)."""
        if scope["type"] != ScopeType.HTTP:
            await self._app(scope, receive, send)
            return
        status, size, start = 500, 0, time.perf_counter()

        async def noted(message: Message) -> None:
            nonlocal status, size
            if message["type"] == "http.response.start":
                status = message["status"]
            elif message["type"] == "http.response.body":
                size += len(message["body"])
            await send(message)

        try:
            await self._app(scope, receive, noted)
        finally:
            self._note(scope, status, size, time.perf_counter() - start)

    def _note(self, scope: Any, status: int, size: int, seconds: float) -> None:
        noted = noted_of(scope)
        route, found = (noted.route, noted.found) if noted else (_NOWHERE, None)
        self._metrics.request(scope["method"], route, status, seconds)
        if found:
            self._metrics.answer(found)
        if self._log:
            told = {
                "method": scope["method"],
                "path": scope["path"][:_LONGEST_PATH],
                "route": route,
                "status": status,
                "bytes": size,
                "ms": round(seconds * 1e3, 2),
                "found": found,
            }
            self._log(line(time.time(), "info", "upfeed.access", told))
