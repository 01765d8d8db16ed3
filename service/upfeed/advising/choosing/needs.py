"""What size a part would have to be where no known part helps: looked for across all that is possible, then closer."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from upfeed.advising.choosing.candidates import Candidate, Sized, sizes_for
from upfeed.advising.choosing.search import Search, Way
from upfeed.advising.choosing.sizes import across, between
from upfeed.advising.choosing.trying import Standing
from upfeed.answering.library import Library
from upfeed.knowledge.records import Value


class Range(Struct, frozen=True):
    """The sizes between which a build has least against it, and how it stands at the best of them."""

    size: Sized
    low: Value
    high: Value
    standing: Standing

    @property
    def rank(self) -> tuple[object, ...]:
        """The best first."""
        return (*self.standing.rank, self.size.tries)


def ranges(search: Search, before: Standing, library: Library) -> tuple[Range, ...]:
    """Where sizes of parts that a rule would change, and is about, would have to lie; the best first."""
    found = []
    for size in _sizes(search, before, library):
        ways = search.tried(_each(size, across(size.attribute)))
        best = min(ways, key=lambda way: way.rank, default=None)
        if best and best.standing.burden < before.burden:
            found.append(_around(best, search, size, ways))
    return tuple(sorted(found, key=lambda one: one.rank))


def _sizes(search: Search, before: Standing, library: Library) -> Iterator[Sized]:
    rules = [library.rulebook.rules[id_] for id_ in sorted(before.raised)]
    slots = {mend.tries.partition(".")[0] for rule in rules for mend in rule.mend if mend.tries}
    about = dict.fromkeys(name for rule in rules for name in rule.about if name.partition(".")[0] in slots)
    return sizes_for(search.build, library, dict.fromkeys(about, ""), {})


def _each(size: Sized, values: Sequence[Value]) -> list[tuple[Candidate, ...]]:
    return [(size.candidate(value),) for value in values]


def _around(best: Way, search: Search, size: Sized, ways: Sequence[Way]) -> Range:
    """The sizes around the best that leave no more against the build, the last look between these and the next."""
    closer = between(size.attribute, [_magnitude(way) for way in ways], *_ends(best, ways))
    ways = [*ways, *search.tried(_each(size, closer))]
    low, high = _ends(best, ways)
    values = {_magnitude(way): way.candidates[0].value for way in ways}
    return Range(size, values[low], values[high], best.standing)


def _ends(best: Way, ways: Sequence[Way]) -> tuple[float, float]:
    """The smallest and the largest size about the best with no worse in between."""
    ordered = sorted(ways, key=_magnitude)
    place = low = high = next(i for i, way in enumerate(ordered) if _magnitude(way) == _magnitude(best))
    good = [way.standing.burden <= best.standing.burden for way in ordered]
    while low > 0 and good[low - 1]:
        low -= 1
    while high < len(good) - 1 and good[high + 1]:
        high += 1
    assert good[place]
    return _magnitude(ordered[low]), _magnitude(ordered[high])


def _magnitude(way: Way) -> float:
    return way.candidates[0].magnitude
