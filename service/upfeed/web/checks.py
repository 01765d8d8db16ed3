"""The routes that check builds: one, or many in one request."""

from collections.abc import Callable, Sequence
from functools import partial
from typing import TypeVar

from litestar import Response, get, post
from msgspec import Struct

from upfeed.advising.choosing.mends import MOST, check_with_mends
from upfeed.answering.answer import FORMAT, Answer
from upfeed.answering.check import check
from upfeed.answering.wire import encode
from upfeed.knowledge.records import BuildSheet
from upfeed.reading.faults import DataFaults
from upfeed.web.answers import Work
from upfeed.web.asked import BUILD, BUILD_IN_QUERY, BUILDS, DRAWS, NO_DRAWS, UNITS
from upfeed.web.asking import Asked
from upfeed.web.body import canonical, read_body
from upfeed.web.desk import At
from upfeed.web.limits import BUILDS_BODY, MOST_BUILDS, searched
from upfeed.web.operation import Operation, choice
from upfeed.web.problem import Problem, Refusal, unusable
from upfeed.web.question import Meant, Question, of_body, of_build, of_query
from upfeed.web.several import read_each

MENDS = choice("mends", "Whether each finding tells the ways out that clear it.", ("false", "true"))

_REFUSES = (413, 415, 422, 429, 503)
_BY_QUERY = Operation(Answer, (UNITS, DRAWS, MENDS), (422, 429, 503), open=BUILD_IN_QUERY)

_Made = TypeVar("_Made")


class Checked(Struct, frozen=True, forbid_unknown_fields=True, tag_field="state", tag="checked"):
    """A build that was checked, with its whole answer."""

    answer: Answer


class Refused(Struct, frozen=True, forbid_unknown_fields=True, tag_field="state", tag="refused"):
    """A build that can't be checked; the pointers of its problem lead into the build, not into the body."""

    problem: Problem


class Checks(Struct, frozen=True, forbid_unknown_fields=True):
    """What becomes of each of many builds, in the order in which they were sent."""

    format: int
    checks: list[Checked | Refused]


@post(
    "/v1/checks",
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


@get("/v1/checks", operation_id="checkBuildInQuery", operation=_BY_QUERY)
async def check_build_in_query(request: Asked, desk: At) -> Response[bytes]:
    """Check a build that stands in the query, so that the answer can be linked to and kept.

    The answer has the same bytes as if the build were sent as a body; places in the build are told as pointers into
    that body. What is wrong is told by the name of the parameter it is about.
    """
    return await of_query(request, desk, check_of)


def check_of(question: Question, sheet: BuildSheet) -> Work:
    """The check of a build that can be read. Raises Refusal where it is too much, DataFaults where it can't be."""
    library, units, samples = question.library, question.units, question.samples()
    question.check_work(sheet, samples=samples)
    if question.query.get("mends") == "true":
        question.check_work(sheet, times=searched(sheet, library, MOST))
        return lambda: encode(check_with_mends(sheet, library, units, samples))
    return lambda: encode(check(sheet, library, units, samples))


@post(
    "/v1/checks/many",
    status_code=200,
    operation_id="checkBuilds",
    operation=Operation(Checks, (UNITS, NO_DRAWS), _REFUSES, takes=BUILDS),
    request_max_body_size=BUILDS_BODY,
)
async def check_builds(request: Asked, desk: At) -> Response[bytes]:
    """Check many builds in one request, at most 500.

    Each has an answer in its place, the same as if it were checked alone with as many draws; a build that can't be
    checked has its problem there and spoils nothing. No draws are made unless they are asked for.
    """
    return await of_body(request, desk, _many)


def _many(question: Question) -> Meant:
    node, faults = read_body(question.sent)
    library, units, samples = question.library, question.units, question.samples(0)

    def possible(sheet: BuildSheet) -> BuildSheet:
        question.check_work(sheet, samples=samples)
        return sheet

    def answer(sheet: BuildSheet) -> Answer:
        return check(sheet, library, units, samples)

    builds = [_tried(one, possible) for one in read_each(node, faults, "builds", MOST_BUILDS, library)]
    question.check_work(*(build for build in builds if isinstance(build, BuildSheet)), samples=samples)
    return canonical(node), partial(_each, builds, answer)


def _each(builds: Sequence[BuildSheet | Problem], answer: Callable[[BuildSheet], Answer]) -> bytes:
    told: list[Checked | Refused] = []
    for build in builds:
        found = build if isinstance(build, Problem) else _tried(build, answer)
        told.append(Refused(found) if isinstance(found, Problem) else Checked(found))
    return encode(Checks(FORMAT, told))


def _tried(sheet: BuildSheet | DataFaults, make: Callable[[BuildSheet], _Made]) -> _Made | Problem:
    """What is made of a build, or its problem."""
    if isinstance(sheet, DataFaults):
        return unusable(sheet)
    try:
        return make(sheet)
    except DataFaults as wrong:
        return unusable(wrong)
    except Refusal as refusal:
        return refusal.problem


ROUTES = [check_build, check_build_in_query, check_builds]
