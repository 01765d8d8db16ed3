"""What a verdict hangs on within the spread of the values, and which of them to measure first."""

from collections.abc import Iterator, Sequence
from typing import Protocol

import numpy as np
from msgspec import Struct

from upfeed.answering.answer import HowSure, MeasureFirst
from upfeed.answering.evidence import Evidence
from upfeed.flow.drawn import Drawn
from upfeed.flow.influence import variance_shares
from upfeed.judging.condition import Condition
from upfeed.judging.language import Comparison
from upfeed.judging.often import Often, Truths
from upfeed.judging.rules import WEIGHTS, Rule
from upfeed.judging.terms import Reading
from upfeed.knowledge.draws import Input
from upfeed.physics.resistance import Array

MOST = 8
"""Values that are named, those first whose measurement tells most."""

_LEAST_SHARE = 0.02
_OFTEN = 0.02
_DECIDING_SHARE = 0.2
_SURE = 0.95
_HEADLINES = ("ratio.worst_valve_flow", "worst_valve_flow", "gallery_pressure")


class Contested(Protocol):
    """A rule that may fire in some draws."""

    @property
    def rule(self) -> Rule:
        """The rule."""

    @property
    def often(self) -> Often:
        """What it reads and compares in every draw."""

    @property
    def truths(self) -> Truths:
        """Whether it fires."""


class Hanging(Struct, frozen=True):
    """The number that decides [N], by the line of the rule it is compared in, or by its name.

    `rule` is None where no rule flips and the number is the one people ask for. No line: nothing differs.
    """

    rule: str | None
    line: str | None
    number: Array


def hanging(puts: Sequence[Contested], drawn: Drawn) -> Hanging:
    """The comparison on which the rule flips that is nearest to even odds; else the oil of the worst valve."""
    for put in sorted(puts, key=_evenness):
        if put.rule.weighs == "note" or _minority(put.truths) < _OFTEN:
            continue
        lines = sorted(_lines(put.rule.when), key=lambda line: -_minority(put.often.line_truths(line)))
        for line in lines:
            number = _numbers(put.often.margin(line), drawn.count)
            if number is not None:
                return Hanging(put.rule.id, line.text, number)
    return _headline(drawn)


def measure_first(hangs: Hanging, drawn: Drawn, evidence: Evidence, sure: HowSure) -> list[MeasureFirst]:
    """The values that account for most of what the number spreads, at most eight."""
    if hangs.line is None:
        return []
    inputs = drawn.draws.inputs
    shares = variance_shares(np.array([i.drawn for i in inputs]), hangs.number)
    flips = hangs.rule is not None and (sure.verdict_holds_in or 0.0) < _SURE
    ranked = sorted(zip(shares.tolist(), inputs, strict=True), key=lambda pair: (-pair[0], pair[1].name))
    return [_told(i, share, flips, evidence) for share, i in ranked[:MOST] if share >= _LEAST_SHARE]


def _told(of: Input, share: float, flips: bool, evidence: Evidence) -> MeasureFirst:
    attribute, value = of.attribute, of.value
    return MeasureFirst(
        name=of.name,
        slot=of.slot,
        at=of.at,
        shown=evidence.shown(attribute, value),
        standing=value.standing,
        share=round(min(share, 1.0), 3),
        decides=flips and share >= _DECIDING_SHARE and value.standing != "measured",
        measure=f"{attribute.definition}: {attribute.how} ({attribute.tool})",
    )


def _evenness(put: Contested) -> tuple[float, int, str]:
    return -_minority(put.truths), WEIGHTS.index(put.rule.weighs), put.rule.id


def _minority(truths: Truths) -> float:
    fires = sum(truth is True for truth in truths)
    return min(fires, len(truths) - fires) / len(truths)


def _lines(condition: Condition) -> Iterator[Comparison]:
    if isinstance(condition, Comparison):
        yield condition
        return
    for part in condition.parts:
        yield from _lines(part)


def _headline(drawn: Drawn) -> Hanging:
    point = next(iter(drawn.survey.build.points))
    for fact in _HEADLINES:
        number = _numbers(drawn.known(f"{fact}.{point}", 0), drawn.count)
        if number is not None:
            return Hanging(None, f"{fact}.{point}", number)
    return Hanging(None, None, np.zeros(drawn.count))


def _numbers(column: Sequence[Reading], count: int) -> Array | None:
    """The first limit's draws, where all of them are known and not all the same."""
    numbers = [x for x in column[:count] if isinstance(x, float)]
    return np.array(numbers) if len(numbers) == count and min(numbers) < max(numbers) else None
