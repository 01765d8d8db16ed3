"""What becomes of findings from one build to another: gone, new, kept, and whether those have grown worse."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from upfeed.advising.comparing.comparison import Kept, Turned
from upfeed.answering.answer import Figure, Finding
from upfeed.judging.rules import WEIGHTS
from upfeed.knowledge.namedvalves import named_valves
from upfeed.knowledge.records import Plan

AS_GOOD_AS_TOLD = 0.05
"""Figures are told to two digits: what is within as much of the smaller is the same."""


class Findings(Struct, frozen=True):
    """The findings of two builds, sorted out."""

    gone: list[Finding]
    new: list[Finding]
    kept: list[Kept]


def sorted_out(first: Sequence[Finding], second: Sequence[Finding], plan: Plan | None) -> Findings:
    """Findings by their ids; what one rule says of one stretch at other valves is one finding, too.

    `plan` is that of both builds; None where they have different ones, whose valves mean nothing to one another.
    """
    pairs = list(_pairs(first, second, same_plan=plan is not None))
    before, after = ({pair[side].id for pair in pairs} for side in (0, 1))
    return Findings(
        gone=[finding for finding in first if finding.id not in before],
        new=[finding for finding in second if finding.id not in after],
        kept=[_kept(one, other, plan) for one, other in pairs],
    )


def _pairs(
    first: Sequence[Finding], second: Sequence[Finding], *, same_plan: bool
) -> Iterator[tuple[Finding, Finding]]:
    """In an order that both ways round have: by weight, rule and places."""
    ids = {finding.id: finding for finding in second}
    pairs = [(one, ids[one.id]) for one in first if one.id in ids]
    if same_plan:
        told = {one.id for one, _ in pairs}
        left, right = ([f for f in side if f.id not in told] for side in (first, second))
        pairs += [(one, other) for one in left for other in right if _only_moved(one, other, left, right)]
    yield from sorted(pairs, key=_order)


def _only_moved(one: Finding, other: Finding, left: Sequence[Finding], right: Sequence[Finding]) -> bool:
    """Whether a finding is the one counterpart of another that is told of other valves."""
    return _about(one) == _about(other) and all(
        sum(_about(f) == _about(one) for f in side) == 1 for side in (left, right)
    )


def _about(finding: Finding) -> tuple[str, tuple[str, ...]]:
    return finding.rule, tuple(finding.place.walk)


def _order(pair: tuple[Finding, Finding]) -> tuple[int, str, list[str], list[str]]:
    one, other = pair
    return WEIGHTS.index(one.weighs), one.rule, one.place.walk, sorted((one.place.at, other.place.at))


def _kept(one: Finding, other: Finding, plan: Plan | None) -> Kept:
    return Kept(
        rule=other.rule,
        weighs=other.weighs,
        change=_change(one, other, plan),
        says=other.says,
        first_id=one.id,
        second_id=other.id,
        first_at=one.place.at,
        second_at=other.place.at,
        first_figure=one.figure,
        second_figure=other.figure,
        first_accepted=one.accepted,
        second_accepted=other.accepted,
    )


def _change(one: Finding, other: Finding, plan: Plan | None) -> Turned | None:
    figured = by_figure(one.figure, other.figure)
    reached = _by_reach(one.place.at, other.place.at, plan)
    if reached is None or reached == figured:
        return figured
    if figured in (None, "same"):
        return reached
    return "mixed"


def by_figure(one: Figure | None, other: Figure | None) -> Turned | None:
    """Whether a figure is worse than another, to the two digits it is told with; None where either is missing."""
    if one is None or other is None:
        return None
    grown = other.value - one.value
    if abs(grown) <= AS_GOOD_AS_TOLD * min(abs(one.value), abs(other.value)):
        return "same"
    return "worse" if (grown > 0) == (other.worse_with == "more") else "lighter"


def _by_reach(one: str, other: str, plan: Plan | None) -> Turned | None:
    """Whether it stands at further valves, at fewer, or at others; None where they are the same."""
    if plan is None or one == other:
        return None
    before, after = named_valves(plan, one), named_valves(plan, other)
    if before < after:
        return "worse"
    return "lighter" if after < before else "mixed"
