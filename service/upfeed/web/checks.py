"""The route that checks a build."""

import msgspec
from litestar import Response, post
from litestar.concurrency import sync_to_thread

from upfeed.answering.answer import Answer
from upfeed.answering.check import check
from upfeed.answering.library import Library
from upfeed.answering.wire import encode
from upfeed.judging.message import System
from upfeed.web.asking import Asked, Known, answer, query_of
from upfeed.web.body import canonical, json_body, read_body, sheet_of
from upfeed.web.operation import Operation, choice

_UNITS = choice("units", "Whose units sentences and shown values use.", ("shop", "si"))


@post(
    "/v1/checks",
    status_code=200,
    operation_id="checkBuild",
    operation=Operation(Answer, (_UNITS,), (400, 413, 415, 422), takes_build=True),
)
async def check_build(request: Asked, library: Known) -> Response[bytes]:
    """Check a build beside its family's reference build.

    The build is what a file holds, as JSON: quantities are text with a unit, counts and ratios may be bare numbers.
    The answer has the same bytes as the command line prints for the same build. Nothing is stored.
    """
    body = await json_body(request)
    units: System = "si" if query_of(request).get("units") == "si" else "shop"
    content, said = await sync_to_thread(_checked, body, library, units)
    return answer(request, library, content, said)


def _checked(body: bytes, library: Library, units: System) -> tuple[bytes, str]:
    """The answer's bytes, and the build in canonical form."""
    node, faults = read_body(body)
    content = encode(check(sheet_of(node, faults, library), library, units))
    return content, msgspec.json.encode(canonical(node)).decode()


ROUTES = [check_build]
