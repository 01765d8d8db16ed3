"""When a rule fires: comparisons under all, any and none, weighed in every corner case at once.

A comparison is decided where it comes out the same in all corner cases, and only decided comparisons decide a
group. The other way round, groups within a corner case first, would be wrong: what two comparisons ask for may
hold in no corner and still between them, as 1 < x and x < 2 where x may be 0 to 3.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Literal

from msgspec import Struct

from upfeed.judging.language import Comparison
from upfeed.judging.terms import Reading, Readings
from upfeed.judging.truth import Truth, agreed, all_of, any_of, none_of

Combiner = Literal["all", "any", "none"]

COMBINERS: Mapping[Combiner, Callable[[Iterable[Truth]], Truth]] = {
    "all": all_of,
    "any": any_of,
    "none": none_of,
}


class Group(Struct, frozen=True):
    """Conditions of which all, any or none must hold."""

    by: Combiner
    parts: tuple["Condition", ...]


Condition = Comparison | Group


class WeighedLine(Struct, frozen=True):
    """A comparison, its truth in each corner case, and what it read (None where corner cases differ)."""

    text: str
    truths: tuple[Truth, ...]
    values: dict[str, Reading]

    @property
    def truth(self) -> Truth:
        """Its truth where all corner cases agree, else unknown."""
        return agreed(self.truths)


class WeighedGroup(Struct, frozen=True):
    """A group and its weighed parts."""

    by: Combiner
    parts: tuple["Weighed", ...]

    @property
    def truth(self) -> Truth:
        """Its truth as far as its parts are decided."""
        return COMBINERS[self.by](part.truth for part in self.parts)


Weighed = WeighedLine | WeighedGroup


def names_of(condition: Condition) -> frozenset[str]:
    """The names a condition reads."""
    if isinstance(condition, Comparison):
        return condition.names
    return frozenset[str]().union(*map(names_of, condition.parts))


def weigh(condition: Condition, corners: Sequence[Readings]) -> Weighed:
    """The truth of a condition and of all its parts, given every corner case."""
    if isinstance(condition, Comparison):
        values = {name: agreed(corner.get(name) for corner in corners) for name in sorted(condition.names)}
        return WeighedLine(condition.text, tuple(condition.run(corner) for corner in corners), values)
    return WeighedGroup(condition.by, tuple(weigh(part, corners) for part in condition.parts))


def undecided(weighed: Weighed) -> list[WeighedLine]:
    """The comparisons that keep a condition unknown; none when it is decided."""
    if weighed.truth is not None:
        return []
    if isinstance(weighed, WeighedLine):
        return [weighed]
    return [line for part in weighed.parts for line in undecided(part)]
