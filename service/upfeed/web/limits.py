"""What one request may ask of the service, and how long it may last; told in the contract."""

from msgspec import Struct

from upfeed.answering.library import Library
from upfeed.answering.work import work
from upfeed.knowledge.records import BuildSheet
from upfeed.web.problem import Refusal, flaw


class Limits(Struct, frozen=True):
    """Bytes of a body, states solved for one answer, seconds until it is given up, answers that may wait.

    A build that names every valve and every value has some 20 thousand bytes. A state takes a millisecond or so.
    """

    body: int = 64 * 1024
    states: int = 20_000
    seconds: float = 30.0
    waiting: int = 16


DEFAULTS = Limits()
"""What holds unless a service is told otherwise."""


def check_work(sheet: BuildSheet, library: Library, samples: int, limits: Limits) -> None:
    """Raises Refusal for a check that is too much work, DataFaults for a build that can't be."""
    needed = work(sheet, library, samples)
    if needed.states <= limits.states:
        return
    within = needed.samples_within(limits.states)
    detail = (
        f"It comes to {needed.states} states: {needed.engines} engines and {needed.draws} draws at {needed.points}"
        f" points with {needed.valves} kinds of valve each; this service solves {limits.states}."
    )
    if within is None:
        wrong = flaw("body", "", f"{needed.states} states", f"at most {limits.states}")
    else:
        wrong = flaw("query", "/samples", f"{samples} draws", f"at most {within} for this build")
    raise Refusal("too-much-work", detail, [wrong])
