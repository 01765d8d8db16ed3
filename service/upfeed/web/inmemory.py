"""Asks an application in memory, without a network."""

from typing import Any

from litestar.types import ASGIApp

from upfeed.web.exampleasks import Ask


async def replied(app: ASGIApp, ask: Ask) -> tuple[int, bytes]:
    """The status and the body of the reply to a request."""
    waiting: list[Any] = [{"type": "http.request", "body": ask.body, "more_body": False}]
    sent: list[Any] = []

    async def receive() -> Any:
        return waiting.pop(0) if waiting else {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        sent.append(message)

    await app(_scope(ask), receive, send)
    return sent[0]["status"], b"".join(message.get("body", b"") for message in sent[1:])


def _scope(ask: Ask) -> Any:
    """A request as a server hands it on."""
    path, _, query = ask.target.partition("?")
    headers = {"host": ask.host, "accept": ask.accept}
    if ask.body:
        headers |= {"content-type": ask.content, "content-length": str(len(ask.body))}
    return {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": ask.method,
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "query_string": query.encode(),
        "root_path": "",
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 80),
        "state": {},
    }
