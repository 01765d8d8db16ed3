"""A rule put to a place in every draw of what the values may be: how often it fires, and by how much it is met."""

from collections.abc import Callable, Sequence
from typing import Any, Protocol

from upfeed.judging.condition import COMBINERS, Condition
from upfeed.judging.language import Comparison
from upfeed.judging.rules import Rule
from upfeed.judging.terms import Reading, Readings
from upfeed.judging.truth import Truth, agreed

Truths = tuple[Truth, ...]
"""One for each draw."""


class Draws(Protocol):
    """What is known in every draw, all draws of one limit of trapped air after those of the other."""

    @property
    def count(self) -> int:
        """How many draws there are."""

    @property
    def entries(self) -> int:
        """How many there are under all limits together."""

    def known(self, name: str, valve: int) -> tuple[Reading, ...]:
        """A name's value: one entry a draw and limit."""


class Often:
    """A rule at a valve. What it reads is read, and what it compares compared, only as far as it decides."""

    def __init__(self, rule: Rule, draws: Draws, valve: int) -> None:
        self._rule, self._draws, self._valve = rule, draws, valve
        self._lets = {let.name: let.calculation for let in rule.lets}
        self._columns: dict[str, tuple[Reading, ...]] = {}

    def truths(self) -> Truths:
        """Whether the rule fires, draw by draw; unknown where the limits of trapped air contradict one another."""
        return self._truths(self._rule.when)

    def margin(self, comparison: Comparison) -> tuple[Reading, ...]:
        """How far one side of a comparison of numbers lies over the other: one entry a draw and limit."""
        if comparison.margin is None:
            return ()
        return self._of(comparison.margin, sorted(comparison.names))

    def line_truths(self, comparison: Comparison) -> Truths:
        """Whether a comparison holds, draw by draw."""
        truths, count = self._of(comparison.run, sorted(comparison.names)), self._draws.count
        if len(truths) == count:
            return truths
        return tuple(agreed(truths[i::count]) for i in range(count))

    def column(self, name: str) -> tuple[Reading, ...]:
        """A value, limit or calculation of the rule: one entry a draw and limit."""
        if name not in self._columns:
            self._columns[name] = self._column(name)
        return self._columns[name]

    def _column(self, name: str) -> tuple[Reading, ...]:
        if name in self._rule.limits:
            return (self._rule.limits[name].value,) * self._draws.entries
        if name in self._lets:
            return self._of(self._lets[name].run, sorted(self._lets[name].names))
        return self._draws.known(name, self._valve)

    def _truths(self, condition: Condition) -> Truths:
        if isinstance(condition, Comparison):
            return self.line_truths(condition)
        parts: list[Truths] = []
        for part in condition.parts:
            parts.append(self._truths(part))
            if condition.by == "all" and not any(truth is not False for truth in parts[-1]):
                return parts[-1]
        combined = COMBINERS[condition.by]
        return tuple(combined(truths) for truths in zip(*parts, strict=True))

    def _of(self, run: Callable[[Readings], Any], names: Sequence[str]) -> tuple[Any, ...]:
        """What comes of its columns entry by entry, worked out once where none of them differs."""
        columns = [self.column(name) for name in names]
        if all(len(set(column)) == 1 for column in columns):
            columns = [column[:1] for column in columns]
        found = tuple(run(dict(zip(names, row, strict=True))) for row in zip(*columns, strict=True))
        return found if len(found) > 1 else found * self._draws.entries
