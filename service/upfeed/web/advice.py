"""The routes to what follows from checks: ways out, what fits, two builds compared, bench sheets, readings."""

from collections.abc import Iterator

from litestar import Response, post

from upfeed.advising.choosing.fits import Fits, fits
from upfeed.advising.choosing.mends import MOST, Mends, mends
from upfeed.advising.comparing.compare import compare
from upfeed.advising.comparing.comparison import BuildComparison
from upfeed.advising.sheet.asking import Bench, read_bench
from upfeed.advising.sheet.benchsheet import BenchSheet
from upfeed.advising.sheet.making import bench_sheet
from upfeed.answering.wire import encode
from upfeed.knowledge.records import BuildSheet
from upfeed.reading.faults import DataFaults, Fault, quoted
from upfeed.reading.nearest import did_you_mean
from upfeed.reading.reader import Reader
from upfeed.web.answers import Work
from upfeed.web.asked import BUILD, DRAWS, NO_DRAWS, TWO_BUILDS, UNITS
from upfeed.web.asking import Asked
from upfeed.web.body import canonical, read_body
from upfeed.web.desk import At
from upfeed.web.limits import BUILDS_BODY, chosen_from, searched
from upfeed.web.operation import Operation, Parameter, number_from_one, text
from upfeed.web.problem import Flaw, Refusal, flaw
from upfeed.web.question import Meant, Question, of_body, of_build
from upfeed.web.several import build_at

_REFUSES = (413, 415, 422, 429, 503)
_MOST_WAYS = number_from_one("most", "How many ways out are told at most.", 50, MOST)
_NAMES = "[a-z][a-z0-9_]*(?:,[a-z][a-z0-9_]*)*"
_SLOTS = Parameter(
    name="slots",
    description="Slots to choose for, with commas between; else those that the build leaves open.",
    expected="names of slots such as lifter, with commas between",
    pattern=_NAMES,
    schema={"type": "string", "pattern": f"^(?:{_NAMES})$", "maxLength": 400, "examples": ["lifter,pushrod"]},
)
_BENCH = (
    text(
        "pitch", "Pitch of the adjusters' thread, as 1.25 mm, or 1/24 in for 24 threads an inch.", "1.25 mm"
    ),
    text("bench_pressure", "Pressure of the bench that catches oil, where a part has none.", "40 psi"),
    text("bench_temperature", "Temperature of its oil, which is taken to be the engine's.", "40 C"),
)


@post(
    "/v1/mends",
    status_code=200,
    operation_id="findMends",
    operation=Operation(Mends, (UNITS, NO_DRAWS, _MOST_WAYS), _REFUSES, takes=BUILD),
)
async def find_mends(request: Asked, desk: At) -> Response[bytes]:
    """Find ways out of what stands against a build, each with its computed effect, the best first.

    Tried are every known part that may go in, the settings and sizes that rules name, and two or three of these
    together where none alone will do.
    """
    return await of_build(request, desk, _mends_of)


def _mends_of(question: Question, sheet: BuildSheet) -> Work:
    library, units = question.library, question.units
    most, samples = int(question.query["most"]), question.samples
    question.check_work(sheet, times=searched(sheet, library, most))
    question.check_work(sheet, samples=samples, times=1 + most)
    return lambda: encode(mends(sheet, library, units, samples, most))


@post(
    "/v1/fits",
    status_code=200,
    operation_id="findFits",
    operation=Operation(Fits, (UNITS, _SLOTS), _REFUSES, takes=BUILD),
)
async def find_fits(request: Asked, desk: At) -> Response[bytes]:
    """Find what still fits: every known part for slots of a build, those that fit first, and why others do not."""
    return await of_build(request, desk, _fits_of)


def _fits_of(question: Question, sheet: BuildSheet) -> Work:
    library, units, named = question.library, question.units, question.query.get("slots")
    slots = tuple(named.split(",")) if named else ()
    wrong = list(_no_slots(question, sheet.family, slots))
    if wrong:
        raise Refusal("unusable-build", "The family has no such slot.", wrong)
    question.check_work(sheet, times=chosen_from(sheet, library, slots or sheet.open))
    return lambda: encode(fits(sheet, library, slots, units))


def _no_slots(question: Question, family: str, slots: tuple[str, ...]) -> Iterator[Flaw]:
    known = question.library.knowledge.families[family].plan.slots
    for slot in slots:
        if slot not in known:
            yield flaw("query", "/slots", quoted(slot), f"a slot of {family}", did_you_mean(slot, known))


@post(
    "/v1/comparisons",
    status_code=200,
    operation_id="compareBuilds",
    operation=Operation(BuildComparison, (UNITS, DRAWS), _REFUSES, takes=TWO_BUILDS),
    request_max_body_size=BUILDS_BODY,
)
async def compare_builds(request: Asked, desk: At) -> Response[bytes]:
    """Set two builds side by side: what differs, findings gone, new and kept, all numbers beside one another."""
    return await of_body(request, desk, _comparison)


def _comparison(question: Question) -> Meant:
    node, faults = read_body(question.sent)
    library, units, samples = question.library, question.units, question.samples
    outer = Reader(node, "", faults)
    outer.only("first", "second")
    first, second = build_at(outer, "first", library), build_at(outer, "second", library)
    if first is None or second is None or faults:
        raise DataFaults(faults)
    question.check_work(first, second, samples=samples)
    return canonical(node), lambda: encode(compare(first, second, library, units, samples))


@post(
    "/v1/bench-sheets",
    status_code=200,
    operation_id="makeBenchSheet",
    operation=Operation(BenchSheet, (UNITS, DRAWS, *_BENCH), _REFUSES, takes=BUILD),
)
async def make_bench_sheet(request: Asked, desk: At) -> Response[bytes]:
    """Make the bench sheet of a build: what to measure with what, how to put it together, prime it and start it."""
    return await of_build(request, desk, _sheet_of)


def _sheet_of(question: Question, sheet: BuildSheet) -> Work:
    library, units, samples, bench = question.library, question.units, question.samples, _bench(question)
    question.check_work(sheet, samples=samples)
    return lambda: encode(bench_sheet(sheet, library, units, samples, bench))


def _bench(question: Question) -> Bench:
    try:
        return read_bench(*(question.query.get(parameter.name) for parameter in _BENCH))
    except DataFaults as wrong:
        raise Refusal("unreadable-query", "The query can't be used.", map(_of_query, wrong.faults)) from wrong


def _of_query(fault: Fault) -> Flaw:
    """A fault of what the command line takes as an option, as one of the query's parameter."""
    name = fault.path.removeprefix("--").replace("-", "_")
    return flaw("query", f"/{name}", fault.found, fault.expected, fault.advice)


ROUTES = [find_mends, find_fits, compare_builds, make_bench_sheet]
