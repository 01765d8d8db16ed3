"""Routes to the service itself: whether it is there, and its contract."""

from typing import Literal, TypeAlias

from litestar import Response, get
from litestar.di import NamedDependency
from litestar.params import SkipValidation
from msgspec import Struct

from upfeed import __version__
from upfeed.answering.digests import program
from upfeed.web.asking import Asked, Known, answer
from upfeed.web.operation import Operation
from upfeed.web.replies import pretty

Contract: TypeAlias = NamedDependency[SkipValidation[bytes]]


class Health(Struct, frozen=True, forbid_unknown_fields=True):
    """The service is there; which program, knowledge and rules it answers from."""

    status: Literal["ok"]
    version: str
    program: str
    knowledge: str
    rules: str


@get("/health", operation_id="getHealth", operation=Operation(Health, tagged=False))
async def get_health(library: Known) -> Response[bytes]:
    """Tell that the service is there, and what it answers from."""
    health = Health("ok", __version__, program(), library.knowledge.digest, library.rulebook.digest)
    return Response(pretty(health), media_type="application/json")


@get("/openapi.json", operation_id="getContract", operation=Operation(None))
async def get_contract(request: Asked, library: Known, contract: Contract) -> Response[bytes]:
    """This contract (OpenAPI 3.1)."""
    return answer(request, library, contract)


ROUTES = [get_health, get_contract]
