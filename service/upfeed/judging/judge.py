"""Puts a rule to a place: in every corner case it fires, stays quiet or cannot tell."""

from typing import Protocol

from msgspec import Struct

from upfeed.judging.condition import Weighed, WeighedLine, undecided, weigh
from upfeed.judging.message import System, render
from upfeed.judging.rules import Outcome, Rule
from upfeed.judging.terms import Reading
from upfeed.judging.truth import Truth, agreed


class Place(Protocol):
    """A stretch of the oil's path at some or all valves, and what is known there."""

    @property
    def id(self) -> str:
        """Its name, unique within a build."""

    @property
    def walk(self) -> tuple[str, ...]:
        """The slots it leads through."""

    @property
    def at(self) -> str:
        """The position: all, intake, exhaust or one valve."""

    def read(self, name: str) -> tuple[Reading, ...]:
        """A name's value in each corner case; as many for every name."""


class Judged(Struct, frozen=True):
    """What came of a rule at a place, with everything it was judged by.

    `seen` holds the values of all names it reads, its limits and its calculations, one for each corner case.
    """

    rule: Rule
    place: Place
    outcome: Outcome
    seen: dict[str, tuple[Reading, ...]]
    weighed: Weighed

    @property
    def id(self) -> str:
        """The finding's id: rule@place."""
        return f"{self.rule.id}@{self.place.id}"

    @property
    def values(self) -> dict[str, Reading]:
        """What was read, None where it is unknown or differs between corner cases."""
        return {name: agreed(self.seen[name]) for name in sorted(self.rule.reads)}

    @property
    def lets(self) -> dict[str, Reading]:
        """What the rule's calculations gave, None where unknown or different between corner cases."""
        return {let.name: agreed(self.seen[let.name]) for let in self.rule.lets}

    @property
    def undecided(self) -> list[WeighedLine]:
        """The comparisons that keep the rule from telling; none when it can tell."""
        return undecided(self.weighed)

    @property
    def blocked_by(self) -> tuple[str, ...]:
        """The names whose values keep the rule from telling, in order; none when it can tell."""
        needed = {name for line in self.undecided for name in line.values}
        for let in reversed(self.rule.lets):  # a calculation stands for the names it reads
            if let.name in needed:
                needed = needed - {let.name} | let.calculation.names
        read = sorted(needed & self.rule.reads)
        return tuple(name for name in read if agreed(self.seen[name]) is None) or tuple(read)

    def says(self, system: System = "shop") -> str:
        """The rule's sentence with the values seen here."""
        return render(self.rule.says, self.seen, system)


def judge(rule: Rule, place: Place) -> Judged:
    """What comes of a rule at a place: decided only by comparisons that come out the same in all corner cases."""
    seen = {name: place.read(name) for name in sorted(rule.reads)}
    corners = [dict(zip(seen, column, strict=True)) for column in zip(*seen.values(), strict=True)]
    for corner in corners:
        corner.update({name: limit.value for name, limit in rule.limits.items()})
        for let in rule.lets:
            corner[let.name] = let.calculation.run(corner)
    own = [*rule.limits, *(let.name for let in rule.lets)]
    seen |= {name: tuple(corner[name] for corner in corners) for name in own}
    weighed = weigh(rule.when, corners)
    return Judged(rule, place, _outcome(weighed.truth), seen, weighed)


def _outcome(truth: Truth) -> Outcome:
    if truth is None:
        return "unknown"
    return "fires" if truth else "quiet"
