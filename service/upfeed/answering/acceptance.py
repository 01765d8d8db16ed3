"""Findings that somebody takes on: until a day, and for as long as they do not grow worse."""

from msgspec import Struct

from upfeed.answering.answer import Accepted, Figure, Lapsed
from upfeed.flow.survey import Survey
from upfeed.judging.judge import Judged
from upfeed.judging.message import System, show
from upfeed.judging.rules import Walk, Worst
from upfeed.knowledge.records import Acceptance, BuildSheet
from upfeed.reading import units
from upfeed.reading.faults import DataFaults, Fault, quoted

_AS_GOOD_AS_TOLD = 0.05
"""A figure is accepted as it is told, to two digits; within as much it has not grown."""


class Taken(Struct, frozen=True):
    """What became of an acceptance: it holds, or has lapsed, and why."""

    acceptance: Acceptance
    lapsed_by: str | None

    @property
    def accepted(self) -> Accepted | None:
        """As the answer tells it, where it holds."""
        told = self.acceptance
        return None if self.lapsed_by else Accepted(told.reason, told.by, told.until, told.at)

    @property
    def lapsed(self) -> Lapsed | None:
        """As the answer tells it, where it does not."""
        told = self.acceptance
        return Lapsed(told.reason, told.by, told.until, self.lapsed_by) if self.lapsed_by else None


def taken_on(survey: Survey, judged: Judged) -> Taken | None:
    """The acceptance of a finding; of several one that holds. None where nobody takes it on.

    Raises DataFaults for a figure that is none of the rule's.
    """
    own = [a for a in survey.build.sheet.accepts if a.finding == judged.id]
    told = [Taken(acceptance, _lapsed(survey, judged, acceptance)) for acceptance in own]
    return next((taken for taken in told if taken.lapsed_by is None), told[0] if told else None)


def in_time(survey: Survey, finding: str) -> bool:
    """Whether somebody takes a finding on today, whatever its figure."""
    sheet = survey.build.sheet
    return any(a.finding == finding and _is_in_time(sheet, a) for a in sheet.accepts)


def takes_on(sheet: BuildSheet, rule: str, walk: Walk) -> bool:
    """Whether somebody takes on today what a rule finds along a walk, at whichever valves."""
    place = f"{rule}@{'-'.join(walk)}/"
    return any(a.finding.startswith(place) and _is_in_time(sheet, a) for a in sheet.accepts)


def has_grown(was: float, now: Figure) -> bool:
    """Whether a figure is worse than it was, by more than figures are told to."""
    beyond = now.value - was if now.worse_with == "more" else was - now.value
    return beyond > _AS_GOOD_AS_TOLD * abs(was)


def figure(judged: Judged, system: System) -> Figure | None:
    """The number by which a finding is better or worse, where its rule has one."""
    worst = judged.rule.worst
    size = _size(judged, worst) if worst else None
    if worst is None or size is None:
        return None
    named, quantity = worst.let.shown, worst.let.shown.quantity or "ratio"
    shown = show(named, (size,), system)
    return Figure(
        worst.let.name, size, units.QUANTITIES[quantity].ucum, shown, "more" if worst.most else "less"
    )


def _size(judged: Judged, worst: Worst) -> float | None:
    sizes = [size for size in judged.seen[worst.let.name] if isinstance(size, float)]
    return (max if worst.most else min)(sizes, default=None)


def _lapsed(survey: Survey, judged: Judged, acceptance: Acceptance) -> str | None:
    if not _is_in_time(survey.build.sheet, acceptance):
        return f"its last day was {acceptance.until}"
    return _grown(judged, acceptance) if acceptance.at else None


def _is_in_time(sheet: BuildSheet, acceptance: Acceptance) -> bool:
    """An acceptance counts on its last day."""
    return sheet.as_of is None or sheet.as_of <= acceptance.until


def _grown(judged: Judged, acceptance: Acceptance) -> str | None:
    now, was = figure(judged, "shop"), _accepted_at(judged, acceptance)
    if now is None:
        return None
    if not has_grown(was, now):
        return None
    return f"it has grown worse: {now.shown}, accepted at {acceptance.at}"


def _accepted_at(judged: Judged, acceptance: Acceptance) -> float:
    worst = judged.rule.worst
    wanted = f"none: {judged.rule.id} has no figure that grows"
    try:
        if worst is not None:
            return units.parse(acceptance.at or "", worst.let.shown.quantity or "ratio")
    except units.UnitFault as fault:
        wanted = fault.expected
    raise DataFaults(
        [Fault(acceptance.origin, f"accepts {acceptance.finding}, at", quoted(acceptance.at or ""), wanted)]
    )
