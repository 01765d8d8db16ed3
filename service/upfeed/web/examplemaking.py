"""Makes the answers that the contract shows, by asking the service in memory."""

import asyncio
import json
from typing import Any

from litestar.handlers import HTTPRouteHandler
from litestar.types import ASGIApp
from msgspec.structs import replace

from upfeed.answering.library import Library
from upfeed.web.app import ROUTES, create_app
from upfeed.web.document import operation_of
from upfeed.web.exampleanswers import ExampleAnswer
from upfeed.web.exampleasks import HOST, Ask, asks
from upfeed.web.exampleshown import CUT_TOLD, INVENTED_TOLD, cut, head_of_contract, with_invented
from upfeed.web.inmemory import replied
from upfeed.web.limits import DEFAULTS
from upfeed.web.operation import Operation

_PATIENCE = 600.0
"""Seconds: an answer is shown that a slow machine would not have in time."""

_JSON = "application/json"


def made_examples(library: Library) -> list[ExampleAnswer]:
    """Every answer that is shown, route by route. Raises ValueError where one has another status than is shown."""
    patient = replace(DEFAULTS, seconds=_PATIENCE)
    return asyncio.run(_made(create_app(library, hosts=[HOST], limits=patient)))


async def _made(app: ASGIApp) -> list[ExampleAnswer]:
    return [await example(app, route, ask) for route in ROUTES for ask in asks(route)]


async def example(app: ASGIApp, route: HTTPRouteHandler, ask: Ask) -> ExampleAnswer:
    """The answer to a request, as it is shown. Raises ValueError where it has another status."""
    status, body = await replied(app, ask)
    if status != ask.status:
        told = body.decode(errors="replace")
        raise ValueError(f"{ask.method} {ask.target} is answered with {status}, not {ask.status}: {told}")
    id_ = str(route.operation_id)
    return _shown(id_, operation_of(route), ask, body) if status == 200 else _problem(id_, body)


def _problem(id_: str, body: bytes) -> ExampleAnswer:
    told = json.loads(body)
    return ExampleAnswer(id_, told["status"], told["type"].rpartition("/")[2], told["title"], "", told)


def _shown(id_: str, operation: Operation, ask: Ask, body: bytes) -> ExampleAnswer:
    whole: Any = json.loads(body) if operation.media == _JSON else body.decode()
    part = cut(head_of_contract(whole) if id_ == "getContract" else whole)
    value = with_invented(part)
    told = [CUT_TOLD] * (part != whole) + [INVENTED_TOLD] * (value != part)
    of = f", the body {ask.name}" if ask.body else ""
    return ExampleAnswer(id_, ask.status, ask.name, f"{ask.method} {ask.target}{of}", " ".join(told), value)
