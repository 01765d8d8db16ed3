"""The route to what gauge readings tell of a build."""

import re

from litestar import Response, post
from msgspec.structs import replace

from upfeed.advising.gauge.readinganswer import ReadingsAnswer
from upfeed.advising.gauge.readings import explain_readings
from upfeed.answering.wire import encode
from upfeed.flow.gauges import GALLERY
from upfeed.reading.faults import DataFaults, Fault, Origin
from upfeed.reading.reader import Reader
from upfeed.web.asked import GAUGED, UNITS
from upfeed.web.asking import Asked
from upfeed.web.body import canonical, read_body
from upfeed.web.desk import At
from upfeed.web.operation import Operation
from upfeed.web.question import Meant, Question, of_body
from upfeed.web.several import build_at

_PLACE = re.compile("reading ([0-9]+)")


@post(
    "/v1/readings",
    status_code=200,
    operation_id="explainReadings",
    operation=Operation(ReadingsAnswer, (UNITS,), (413, 415, 422, 429, 503), takes=GAUGED),
)
async def explain(request: Asked, desk: At) -> Response[bytes]:
    """Tell which uncertain values of a build explain gauge readings that differ from what is expected.

    Readings are text, as "650 rpm, 100 C, 14 psi", with the gauge's place behind it where it is not the `port`; `error`
    says how far the gauge may be off, as "1 psi", or "3 %" of the reading.
    """
    return await of_body(request, desk, _gauged)


def _gauged(question: Question) -> Meant:
    node, faults = read_body(question.sent)
    library, units, outer = question.library, question.units, Reader(node, "", faults)
    outer.only("build", "readings", "port", "error")
    sheet, texts = build_at(outer, "build", library), outer.words("readings")
    port, error = outer.optional_text("port") or GALLERY, outer.optional_text("error")
    if sheet is None or faults:
        raise DataFaults(faults)
    question.check_work(sheet)

    def work() -> bytes:
        try:
            return encode(explain_readings(sheet, library, texts, port, error, units))
        except DataFaults as wrong:
            raise DataFaults(map(_in_body, wrong.faults)) from wrong

    return canonical(node), work


def _in_body(fault: Fault) -> Fault:
    """A fault of what the command line takes as options, as one of what stands in the body."""
    place = _PLACE.fullmatch(fault.path)
    if place:
        pointer = f"/readings/{int(place[1]) - 1}"
    elif fault.path.startswith("--"):
        pointer = f"/{fault.path.removeprefix('--')}"
    else:
        pointer = "/build" if fault.origin.pointer else "/readings"
    return replace(fault, origin=Origin(pointer=pointer + fault.origin.pointer))


ROUTES = [explain]
