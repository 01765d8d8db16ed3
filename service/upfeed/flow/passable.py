"""Which nodes hang together by the ways that are not shut."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from functools import cached_property

from msgspec import Struct

from upfeed.flow.ways import Way
from upfeed.knowledge.records import Valve
from upfeed.knowledge.vocabulary import AMBIENTS

Meeting = Mapping[str, Collection[tuple[Way, str]]]
"""The ways that meet at each node, each with the node at its other end."""


class Passable(Struct, frozen=True, dict=True):
    """Ways that are not shut."""

    ways: tuple[Way, ...]

    def of(self, slot: str, valve: Valve | None) -> Collection[Way]:
        """Those of what stands in a slot at a valve."""
        return self._of.get((slot, valve), ())

    def together(self, node: str, without: Collection[Way]) -> set[str]:
        """A node and all that hang together with it, some ways left out."""
        return together(self._meeting, node, frozenset(without))

    @cached_property
    def _of(self) -> Mapping[tuple[str, Valve | None], list[Way]]:
        of: dict[tuple[str, Valve | None], list[Way]] = defaultdict(list)
        for way in self.ways:
            of[way.slot, way.valve].append(way)
        return of

    @cached_property
    def _meeting(self) -> Meeting:
        return meeting(self.ways)


def is_inner(way: Way) -> bool:
    """Whether a way lies between nodes; those into an open space would join everything."""
    return way.tail not in AMBIENTS and way.head not in AMBIENTS


def meeting(ways: Iterable[Way]) -> Meeting:
    """Where ways meet, those into an open space left out."""
    met: dict[str, list[tuple[Way, str]]] = defaultdict(list)
    for way in filter(is_inner, ways):
        met[way.tail].append((way, way.head))
        met[way.head].append((way, way.tail))
    return met


def together(met: Meeting, node: str, without: Collection[Way] = ()) -> set[str]:
    """A node and all that hang together with it by ways that meet, some left out."""
    found, ahead = {node}, [node]
    while ahead:
        for way, far in met.get(ahead.pop(), ()):
            if far not in found and way not in without:
                found.add(far)
                ahead.append(far)
    return found
