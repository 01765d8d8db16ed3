"""Asks the application directly, with bytes no client library would send."""

import asyncio
import json
from collections.abc import Iterable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple
from urllib.parse import unquote_to_bytes

import pytest

from upfeed.answering.library import open_library
from upfeed.reading.cache import VARIABLE
from upfeed.web.app import create_app

with pytest.MonkeyPatch.context() as patch, TemporaryDirectory() as own:
    patch.setenv(VARIABLE, own)  # tests leave the user's cache alone
    LIBRARY = open_library()
BUILDS = sorted((Path(__file__).parents[2] / "shared" / "builds").glob("*.yaml"))
JSON = {"content-type": "application/json"}
FRIEND = "https://shop.example"
APP = create_app(LIBRARY, origins=[FRIEND, "http://localhost:3000"])


class Reply(NamedTuple):
    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def json(self) -> Any:
        return json.loads(self.body)


def ask(
    target: str,
    method: str = "GET",
    headers: dict[str, str] | None = None,
    body: bytes | Iterable[bytes] = b"",
    app: Any = APP,
) -> Reply:
    """One request and its whole reply; a body in pieces comes without its length."""
    return asyncio.run(asking(target, method, headers, body, app))


async def asking(
    target: str,
    method: str = "GET",
    headers: dict[str, str] | None = None,
    body: bytes | Iterable[bytes] = b"",
    app: Any = APP,
) -> Reply:
    """The same, for several requests at once."""
    path, _, query = target.partition("?")
    pieces = [body] if isinstance(body, bytes) else list(body)
    length = {"content-length": str(len(body))} if isinstance(body, bytes) and body else {}
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": method,
        "scheme": "http",
        # a server hands on what it could not decode as U+FFFD
        "path": unquote_to_bytes(path).decode("utf-8", "replace"),
        "raw_path": path.encode(),
        "query_string": query.encode("latin-1"),
        "root_path": "",
        "headers": [(k.encode(), v.encode("latin-1")) for k, v in {**length, **(headers or {})}.items()],
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 80),
        "state": {},
    }
    return await _exchange(app, scope, pieces)


async def _exchange(app: Any, scope: dict[str, Any], pieces: list[bytes]) -> Reply:
    sent: list[dict[str, Any]] = []
    waiting = [
        {"type": "http.request", "body": piece, "more_body": i + 1 < len(pieces)}
        for i, piece in enumerate(pieces)
    ]

    async def receive() -> dict[str, Any]:
        return waiting.pop(0) if waiting else {"type": "http.disconnect"}

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    await app(scope, receive, send)
    headers = {name.decode().lower(): value.decode("latin-1") for name, value in sent[0]["headers"]}
    assert len(headers) == len(sent[0]["headers"]), "a header field twice"
    return Reply(sent[0]["status"], headers, b"".join(message.get("body", b"") for message in sent[1:]))


def check(build: Any, query: str = "", app: Any = APP, **headers: str) -> Reply:
    """A build sent to be checked, as text, bytes or anything JSON can hold."""
    body = (
        build
        if isinstance(build, bytes)
        else build.encode()
        if isinstance(build, str)
        else json.dumps(build).encode()
    )
    return ask(f"/v1/checks{query}", "POST", JSON | headers, body, app)
