"""Routes to the kinds of problem: what a problem's `type` leads to."""

from litestar import Response, get

from upfeed.web.asking import Asked, answer
from upfeed.web.desk import Known
from upfeed.web.finding import find
from upfeed.web.operation import Lead, Operation
from upfeed.web.problemtypes import ADDRESS, PROBLEM_TYPES, ProblemType, ProblemTypes

_LIST = Operation(ProblemTypes, leads_to=Lead("getProblemType", "problem", "/problems/0/id"))
_GET = Operation(ProblemType, refuses=(404,))


@get(ADDRESS, operation_id="listProblemTypes", operation=_LIST)
async def list_problem_types(request: Asked, library: Known) -> Response[bytes]:
    """List the kinds of problem that this service tells of."""
    return answer(request, library, ProblemTypes(list(PROBLEM_TYPES.values())))


@get(f"{ADDRESS}/{{problem:str}}", operation_id="getProblemType", operation=_GET)
async def get_problem_type(request: Asked, library: Known) -> Response[bytes]:
    """A kind of problem, by its id: what it means and what to do about it."""
    return answer(request, library, find(PROBLEM_TYPES, request.path_params["problem"], "problem", "problem"))


ROUTES = [list_problem_types, get_problem_type]
