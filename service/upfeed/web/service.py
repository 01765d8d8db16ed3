"""Routes to the service itself: whether it is there and ready, what it counts, and its contract."""

from typing import Literal

from litestar import Response, get
from msgspec import Struct

from upfeed import __version__
from upfeed.answering.digests import program
from upfeed.web.asking import Asked, answer
from upfeed.web.desk import At, Known
from upfeed.web.metrics import MEDIA
from upfeed.web.operation import Operation
from upfeed.web.problem import Refusal
from upfeed.web.replies import pretty


class Health(Struct, frozen=True, forbid_unknown_fields=True):
    """The service is there; which program, knowledge and rules it answers from."""

    status: Literal["ok"]
    version: str
    program: str
    knowledge: str
    rules: str


class Ready(Struct, frozen=True, forbid_unknown_fields=True):
    """The service takes checks, and whether what it answers from is the newest there is.

    Stale: newer knowledge or rules have these faults, and what was read before is answered from.
    """

    status: Literal["ready", "stale"]
    program: str
    knowledge: str
    rules: str
    faults: list[str]


@get("/health", operation_id="getHealth", operation=Operation(Health, tagged=False))
async def get_health(library: Known) -> Response[bytes]:
    """Tell that the service is there, and what it answers from."""
    health = Health("ok", __version__, program(), library.knowledge.digest, library.rulebook.digest)
    return Response(pretty(health), media_type="application/json")


@get("/ready", operation_id="getReady", operation=Operation(Ready, refuses=(503,), tagged=False))
async def get_ready(desk: At) -> Response[bytes]:
    """Tell whether a check would be taken now, and whether newer knowledge was refused."""
    if desk.answers.is_full:
        raise Refusal("not-ready", "As many answers wait as may.", headers=desk.answers.later())
    library, faults = desk.library, desk.current.faults
    status: Literal["ready", "stale"] = "stale" if faults else "ready"
    told = Ready(status, program(), library.knowledge.digest, library.rulebook.digest, faults)
    return Response(pretty(told), media_type="application/json")


@get("/metrics", operation_id="getMetrics", operation=Operation(None, tagged=False, media="text/plain"))
async def get_metrics(desk: At) -> Response[bytes]:
    """What was counted since the service began, in Prometheus' text format."""
    return Response(desk.metrics.told(), media_type=MEDIA)


@get("/openapi.json", operation_id="getContract", operation=Operation(None))
async def get_contract(request: Asked, desk: At) -> Response[bytes]:
    """This contract (OpenAPI 3.1)."""
    return answer(request, desk.library, desk.contract)


ROUTES = [get_health, get_ready, get_metrics, get_contract]
