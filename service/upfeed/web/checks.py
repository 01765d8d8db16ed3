"""The routes that check a build: in the body of a request, or in its query."""

from litestar import Response, get, post

from upfeed.advising.choosing.mends import MOST, check_with_mends
from upfeed.answering.answer import Answer
from upfeed.answering.check import check
from upfeed.answering.wire import encode
from upfeed.knowledge.records import BuildSheet
from upfeed.web.answers import Work
from upfeed.web.asked import BUILD, BUILD_IN_QUERY, DRAWS, UNITS
from upfeed.web.asking import Asked
from upfeed.web.desk import At
from upfeed.web.limits import searched
from upfeed.web.operation import Operation, choice
from upfeed.web.question import Question, of_build, of_query

CHECKS = "/v1/checks"
"""The address of a check."""

MENDS = choice("mends", "Whether each finding tells the ways out that clear it.", ("false", "true"))

_REFUSES = (413, 415, 422, 429, 503)
_BY_QUERY = Operation(Answer, (UNITS, DRAWS, MENDS), (422, 429, 503), open=BUILD_IN_QUERY)


@post(
    CHECKS,
    status_code=200,
    operation_id="checkBuild",
    operation=Operation(Answer, (UNITS, DRAWS, MENDS), _REFUSES, takes=BUILD),
)
async def check_build(request: Asked, desk: At) -> Response[bytes]:
    """Check a build beside its family's reference build.

    The build is what a file holds, as JSON: quantities are text with a unit, counts and ratios may be bare numbers.
    The answer has the same bytes as the command line prints for the same build. Nothing is stored.
    """
    return await of_build(request, desk, check_of)


@get(CHECKS, operation_id="checkBuildInQuery", operation=_BY_QUERY)
async def check_build_in_query(request: Asked, desk: At) -> Response[bytes]:
    """Check a build that stands in the query, so that the answer can be linked to and kept.

    The answer has the same bytes as if the build were sent as a body; places in the build are told as pointers into
    that body. What is wrong is told by the name of the parameter it is about.
    """
    return await of_query(request, desk, check_of)


def check_of(question: Question, sheet: BuildSheet) -> Work:
    """The check of a build that can be read. Raises Refusal where it is too much, DataFaults where it can't be."""
    library, units, samples = question.library, question.units, question.samples
    question.check_work(sheet, samples=samples)
    if question.query["mends"] == "true":
        question.check_work(sheet, times=searched(sheet, library, MOST))
        return lambda: encode(check_with_mends(sheet, library, units, samples))
    return lambda: encode(check(sheet, library, units, samples))


ROUTES = [check_build, check_build_in_query]
