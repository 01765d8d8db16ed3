"""Oil ways of a plan, rows of them between two nodes, and rows of one part that run side by side."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from upfeed.knowledge.records import Valve
from upfeed.knowledge.vocabulary import AMBIENTS


class Way(Struct, frozen=True, cache_hash=True):
    """One passage of one part of an engine, between two nodes of the plan."""

    slot: str
    passage: str
    valve: Valve | None
    tail: str
    head: str


Row = tuple[Way, ...]
"""Ways that the same oil goes through one after the other."""


class Chain(Struct, frozen=True, cache_hash=True, dict=True):
    """Ways in a row between two nodes where oil can part or leave, in the direction away from the pump.

    Another row of the same part may run at the `side` of those ways that `beside` counts (from, up to). The cam's angle
    is common to both, so that neither can be a chain of its own.
    """

    ways: Row
    tail: str
    head: str
    side: Row = ()
    beside: tuple[int, int] = (0, 0)

    @cached_property
    def valve(self) -> Valve | None:
        """The valve it serves, or None for the whole engine."""
        return next((way.valve for way in self.ways if way.valve), None)

    @cached_property
    def steps(self) -> tuple[tuple[str, str], ...]:
        """Slot and passage of each way, in order, without those at the side."""
        return tuple((way.slot, way.passage) for way in self.ways)

    @property
    def rows(self) -> tuple[Row, ...]:
        """Every row by which oil may go from one end to the other."""
        if not self.side:
            return (self.ways,)
        first, last = self.beside
        return self.ways, (*self.ways[:first], *self.side, *self.ways[last:])

    def up_to(self, count: int) -> "Chain":
        """Its first ways, as many as are counted; with what runs beside them, if that ends among them."""
        if self.beside[1] <= count:
            return replace(self, ways=self.ways[:count])
        return Chain(self.ways[:count], self.tail, self.head)


def side_rows(ways: Iterable[Way]) -> dict[Row, Row]:
    """Rows of one part at one valve that lie between the same two nodes: the first named, with the one beside it.

    Source: none, a reduction of what is parallel; of more than two such rows the first two.
    """
    found: dict[tuple[str, Valve, str, str], Row] = {}
    beside: dict[Row, Row] = {}
    for row in _rows(ways):
        first, last = row[0], row[-1]
        if first.valve is None or last.head in AMBIENTS or first.tail == last.head:
            continue
        main = found.setdefault((first.slot, first.valve, first.tail, last.head), row)
        if main is not row:
            beside.setdefault(main, row)
    return beside


def _rows(ways: Iterable[Way]) -> Iterator[Row]:
    """Ways of one part followed from one to the next where nothing else meets them."""
    ways = tuple(ways)
    meeting = Counter(end for way in ways for end in (way.tail, way.head))
    onward = {(way.slot, way.tail): way for way in ways if meeting[way.tail] == 2}
    entered = {(way.slot, way.head) for way in ways if meeting[way.head] == 2}
    for way in ways:
        if (way.slot, way.tail) in onward and (way.slot, way.tail) in entered:
            continue  # not the first of its row
        yield tuple(_followed(way, onward))


def _followed(way: Way, onward: Mapping[tuple[str, str], Way]) -> Iterator[Way]:
    following: Way | None = way
    while following is not None:
        yield following
        following = onward.get((following.slot, following.head))


def with_side(chain: Chain, beside: Mapping[Row, Row]) -> Chain:
    """A chain with the row that runs beside a stretch of it, where there is one, in the chain's own direction."""
    begins = {end: (main, side) for main, side in beside.items() for end in (main[0], main[-1])}
    for at, way in enumerate(chain.ways):
        main, side = begins.get(way, ((), ()))
        stretch = chain.ways[at : at + len(main)]
        if main and stretch in (main, main[::-1]):
            turned = side if stretch == main else side[::-1]
            return replace(chain, side=turned, beside=(at, at + len(main)))
    return chain
