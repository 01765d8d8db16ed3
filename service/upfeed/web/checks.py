"""The route that checks a build."""

from functools import partial

from litestar import Response, post

from upfeed.answering.answer import Answer
from upfeed.answering.check import MOST_SAMPLES, SAMPLES, check
from upfeed.answering.library import Library
from upfeed.answering.wire import encode
from upfeed.judging.message import System
from upfeed.web.answers import Work
from upfeed.web.asking import Asked, computed, query_of
from upfeed.web.body import canonical, json_body, read_body, sheet_of
from upfeed.web.desk import At
from upfeed.web.limits import Limits, check_work
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
    operation=Operation(Answer, (_UNITS, _SAMPLES), (413, 415, 422, 429, 503), takes_build=True),
)
async def check_build(request: Asked, desk: At) -> Response[bytes]:
    """Check a build beside its family's reference build.

    The build is what a file holds, as JSON: quantities are text with a unit, counts and ratios may be bare numbers.
    The answer has the same bytes as the command line prints for the same build. Nothing is stored.
    """
    query = query_of(request)
    units: System = "si" if query.get("units") == "si" else "shop"
    samples = int(query.get("samples", SAMPLES))
    body, library = await json_body(request), desk.library
    read = partial(_asked, body, library, desk.limits, units, samples)
    return await computed(request, library, desk.answers, body, read)


def _asked(body: bytes, library: Library, limits: Limits, units: System, samples: int) -> tuple[object, Work]:
    """What the body says, and the check of it."""
    node, faults = read_body(body)
    sheet = sheet_of(node, faults, library)
    check_work(sheet, library, samples, limits)
    return canonical(node), lambda: encode(check(sheet, library, units, samples))


ROUTES = [check_build]
