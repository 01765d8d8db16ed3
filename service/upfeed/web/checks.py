"""The route that checks a build."""

import msgspec
from litestar import Response, post
from litestar.concurrency import sync_to_thread

from upfeed.answering.answer import Answer
from upfeed.answering.check import MOST_SAMPLES, SAMPLES, check
from upfeed.answering.library import Library
from upfeed.answering.wire import encode
from upfeed.judging.message import System
from upfeed.web.asking import Asked, Known, answer, query_of
from upfeed.web.body import canonical, json_body, read_body, sheet_of
from upfeed.web.operation import Operation, choice, whole_number

_UNITS = choice("units", "Whose units sentences and shown values use.", ("shop", "si"))

_SAMPLES = whole_number(
    "samples",
    "Draws of the values within their spread, to tell how sure the answer is; 0 makes none.",
    MOST_SAMPLES,
    SAMPLES,
)


@post(
    "/v1/checks",
    status_code=200,
    operation_id="checkBuild",
    operation=Operation(Answer, (_UNITS, _SAMPLES), (400, 413, 415, 422), takes_build=True),
)
async def check_build(request: Asked, library: Known) -> Response[bytes]:
    """Check a build beside its family's reference build.

    The build is what a file holds, as JSON: quantities are text with a unit, counts and ratios may be bare numbers.
    The answer has the same bytes as the command line prints for the same build. Nothing is stored.
    """
    body = await json_body(request)
    query = query_of(request)
    units: System = "si" if query.get("units") == "si" else "shop"
    samples = int(query.get("samples", SAMPLES))
    content, said = await sync_to_thread(_checked, body, library, units, samples)
    return answer(request, library, content, said)


def _checked(body: bytes, library: Library, units: System, samples: int) -> tuple[bytes, str]:
    """The answer's bytes, and the build in canonical form."""
    node, faults = read_body(body)
    content = encode(check(sheet_of(node, faults, library), library, units, samples))
    return content, msgspec.json.encode(canonical(node)).decode()


ROUTES = [check_build]
