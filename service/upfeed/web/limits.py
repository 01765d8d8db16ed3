"""What one request may ask of the service, and how long it may last; told in the contract."""

from collections.abc import Iterable, Sequence

from msgspec import Struct

from upfeed.answering.library import Library
from upfeed.answering.work import Work, work
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


MOST_BUILDS, BUILDS_BODY = 500, 1024 * 1024
"""Builds in one request, and bytes of a body that holds several."""

DEFAULTS = Limits()
"""What holds unless a service is told otherwise."""


def check_work(
    sheets: Sequence[BuildSheet], library: Library, samples: int, limits: Limits, times: int = 1
) -> None:
    """Raises Refusal for checks that are too much work, DataFaults for a build that can't be.

    `times` says how many builds like the one in question are computed.
    """
    every = [work(sheet, library, samples) for sheet in sheets]
    states = times * sum(needed.states for needed in every)
    if states <= limits.states:
        return
    within = _samples_within(every, samples, limits.states // times)
    detail = f"It comes to {states} states: {_counted(every[0], times)}; this service solves {limits.states}."
    if within is None:
        wrong = flaw("body", "", f"{states} states", f"at most {limits.states}")
    else:
        told = "this build" if len(sheets) == 1 else "these builds"
        wrong = flaw("query", "/samples", f"{samples} draws", f"at most {within} for {told}")
    raise Refusal("too-much-work", detail, [wrong])


def check_trials(sheets: Iterable[BuildSheet], library: Library, limits: Limits) -> None:
    """Raises Refusal for parts whose trials, each alone in a build of a family, are too much work.

    How many there are follows from the knowledge: from what goes in a part's place, and from the families.
    """
    states = 0
    for sheet in sheets:
        states += work(sheet, library, 0).states
        if states > limits.states:
            detail = f"It comes to more than {limits.states} states, which is what this service solves."
            wrong = flaw("query", "/family", "every family of the parts", "one family, or another part")
            raise Refusal("too-much-work", detail, [wrong])


def searched(sheet: BuildSheet, library: Library, most: int) -> int:
    """About how many builds a search for ways out of one computes: one a known part of a kind that it has, and more."""
    kinds = {slot.kind for slot in library.knowledge.families[sheet.family].plan.slots.values()}
    parts = sum(part.kind in kinds for part in library.knowledge.parts.values())
    return 1 + most + parts


def chosen_from(sheet: BuildSheet, library: Library, slots: Sequence[str]) -> int:
    """About how many builds are computed to choose parts for slots: one for each known part of a slot's kind."""
    plan = library.knowledge.families[sheet.family].plan
    kinds = [plan.slots[slot].kind for slot in slots]
    return 1 + sum(kinds.count(part.kind) for part in library.knowledge.parts.values())


def _counted(needed: Work, times: int) -> str:
    one = (
        f"{needed.engines} engines and {needed.draws} draws at {needed.points} points with {needed.valves} kinds of"
        " valve each"
    )
    return one if times == 1 else f"{times} builds of {one}"


def _samples_within(every: Sequence[Work], samples: int, most: int) -> int | None:
    """How many draws of each would do; None where fewer draws would not help."""
    if not samples:
        return None
    if len(every) == 1:
        return every[0].samples_within(most)
    fixed = sum(needed.engines * needed.points * needed.valves for needed in every)
    drawn = sum(needed.points * needed.valves for needed in every if needed.draws)
    if fixed > most or not drawn:
        return None
    return max(0, ((most - fixed) // drawn - 1) // 2)
