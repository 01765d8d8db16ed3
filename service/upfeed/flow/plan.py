"""The ways of oil through a family, from the ports of its parts: nodes, chains between them, and what is reached.

A family's topology is fixed. Parts open or shut its ways; they never add or remove one.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from functools import cached_property
from typing import Any

import networkx as nx
from msgspec import Struct

from upfeed.flow.passable import Passable, is_inner, meeting, together
from upfeed.flow.ports import Port, node_names, parsed, positions
from upfeed.flow.ways import Chain, Way, side_rows, with_side
from upfeed.knowledge.records import Plan, Valve
from upfeed.knowledge.stationrows import station_joins
from upfeed.knowledge.vocabulary import AMBIENTS, Kind

Shut = tuple[str, str, Valve | None]
"""A passage that is shut: slot, passage, valve."""

Passing = tuple[str, str]
"""A passage wherever its slot has one: slot, passage."""


Counts = dict[Valve, int]
"""Ways to somewhere at each valve."""

_PATTERNS = 256
"""How many patterns of shut passages a count is kept for; most builds of a family share a few."""


class Topology(Struct, frozen=True, dict=True):
    """A family's oil ways: `source` is the node the pump delivers into.

    `read_at` are the nodes where pressure is read, `gallery` first of all; `along` those at which valves stand along
    a gallery, `ports` the node of every port. `parted` are passages, as slot and passage, that may join their ends but
    count as passages here.
    """

    source: str
    nodes: tuple[str, ...]
    ways: tuple[Way, ...]
    chains: tuple[Chain, ...]
    entries: dict[Valve, tuple[str, ...]]
    along: frozenset[str]
    read_at: dict[str, str]
    ports: dict[Port, str]
    parted: frozenset[Passing] = frozenset()

    @property
    def gauge(self) -> str:
        """The node that the pressure gauge reads, and that every way up is told from."""
        return self.read_at.get("gallery", self.source)

    def counted(self, shut: frozenset[Shut], count: Callable[[frozenset[Shut]], Counts]) -> Counts:
        """What a pure function counts with these passages shut, once for each pattern while it is kept."""
        key = count.__name__, shut
        if key not in self._counts:
            if len(self._counts) >= _PATTERNS:
                self._counts.clear()
            self._counts[key] = count(shut)
        return self._counts[key]

    @cached_property
    def _counts(self) -> dict[tuple[str, frozenset[Shut]], Counts]:
        return {}

    def ways_up(self, shut: Collection[Shut]) -> Counts:
        """How many entries of each rocker are fed, where its own way to the valve is open too."""
        passable = self.passable(shut)
        return {valve: self._fed_entries(passable, valve) for valve in self.entries}

    def paths_to(self, valve: Valve) -> tuple[tuple[Chain, ...], ...]:
        """Every row of chains from the gauge to this valve's rocker, the shortest first; open or shut."""
        return self.paths(valve, "rocker_cover")

    def paths(self, valve: Valve, end: str) -> tuple[tuple[Chain, ...], ...]:
        """Every row of chains of a valve from the gauge into an open space, the shortest first; open or shut."""
        if (valve, end) not in self._paths:
            self._paths[valve, end] = self._found(valve, end)
        return self._paths[valve, end]

    @cached_property
    def _paths(self) -> dict[tuple[Valve, str], tuple[tuple[Chain, ...], ...]]:
        """Those that somebody has asked for."""
        return {}

    def _found(self, valve: Valve, end: str) -> tuple[tuple[Chain, ...], ...]:
        onward = [chain for chain in self.chains if self._may_lead_to(chain, valve, end)]
        graph: nx.MultiDiGraph[Any] = nx.MultiDiGraph()
        for place, chain in enumerate(onward):
            graph.add_edge(chain.tail, chain.head, key=place)
        if self.gauge not in graph or end not in graph:
            return ()
        paths = nx.all_simple_edge_paths(graph, self.gauge, end)
        places = sorted((len(path), [edge[-1] for edge in path]) for path in paths)
        return tuple(tuple(onward[place] for place in path) for _, path in places)

    def _may_lead_to(self, chain: Chain, valve: Valve, end: str) -> bool:
        """Into no other open space, and through what belongs to other valves only along the gallery."""
        own = chain.valve in (None, valve) or {chain.tail, chain.head} <= self.along
        return own and (chain.head == end or chain.head not in AMBIENTS)

    def passable(self, shut: Collection[Shut]) -> Passable:
        """Every way but those that are shut."""
        return Passable(tuple(way for way in self.ways if (way.slot, way.passage, way.valve) not in shut))

    def tops(self, valve: Valve) -> Collection[str]:
        """The slots whose parts let a valve's oil out under the rocker cover."""
        return self._tops.get(valve, ())

    @cached_property
    def _tops(self) -> Mapping[Valve, Collection[str]]:
        tops: dict[Valve, dict[str, None]] = defaultdict(dict)
        for way in self.ways:
            if way.valve is not None and way.head == "rocker_cover":
                tops[way.valve][way.slot] = None
        return tops

    def open_entries(
        self, passable: Passable, own: Collection[Way], entries: Iterable[str], goals: Iterable[str]
    ) -> int:
        """How many entries of a part are fed without its own ways, and open by these to one of the goals."""
        inner, fed = meeting(own), passable.together(self.source, without=own)
        leading = {node for goal in goals for node in together(inner, goal)}
        return sum(1 for entry in entries if entry in fed and entry in leading)

    def _fed_entries(self, passable: Passable, valve: Valve) -> int:
        own = [way for slot in self.tops(valve) for way in passable.of(slot, valve)]
        goals = [way.tail for way in own if way.head == "rocker_cover"]
        return self.open_entries(passable, own, self.entries[valve], goals)


def topology(plan: Plan, kinds: Mapping[str, Kind], parted: Collection[Passing] = ()) -> Topology:
    """Merge joined ports into nodes and collapse ways in a row.

    Passages that may join their ends do so, but for those that are `parted`. Expects a plan whose slots, kinds and
    ports exist (`load` checks that).
    """
    joining = frozenset(may_join(plan, kinds)) - frozenset(parted)
    names = node_names(plan, kinds, joining)
    ways = tuple(way for way in _ways(plan, kinds, names) if (way.slot, way.passage) not in joining)
    pump = next(slot for slot in plan.slots.values() if kinds[slot.kind].source)
    source = names[(pump.name, _into(kinds[pump.kind]), None)]
    side = side_rows(ways)
    aside = {way for row in side.values() for way in row}
    chains = tuple(
        with_side(chain, side) for chain in _chains(tuple(w for w in ways if w not in aside), source)
    )
    nodes = dict.fromkeys(n for chain in chains for n in (chain.tail, chain.head) if n not in AMBIENTS)
    return Topology(
        source=source,
        nodes=tuple(nodes | {source: None}),
        ways=ways,
        chains=chains,
        entries=_entries(plan, ways, names),
        along=_along(plan, names),
        ports=names,
        parted=frozenset(parted),
        read_at={name: node for name, node in _read_at(plan, kinds, names) if node in nodes},
    )


def may_join(plan: Plan, kinds: Mapping[str, Kind]) -> Iterator[Passing]:
    """Passages by which, in some engines, nothing parts their ends."""
    for slot in plan.slots.values():
        for passage in kinds[slot.kind].passages.values():
            if any(binding.law == "joined" for binding in passage.laws.values()):
                yield slot.name, passage.name


def _into(kind: Kind) -> str:
    assert kind.source is not None
    return kind.source.into


def _read_at(plan: Plan, kinds: Mapping[str, Kind], names: Mapping[Port, str]) -> Iterator[tuple[str, str]]:
    for slot in plan.slots.values():
        for name, port in (kinds[slot.kind].read_at or {}).items():
            yield name, names[(slot.name, port, None)]


def _along(plan: Plan, names: Mapping[Port, str]) -> frozenset[str]:
    if plan.stations is None:
        return frozenset()
    slot, port = parsed(plan.stations.enters[1])
    return frozenset(names[(slot, port, valve)] for valve in plan.valves)


def _ways(plan: Plan, kinds: Mapping[str, Kind], names: Mapping[Port, str]) -> Iterator[Way]:
    for slot in plan.slots.values():
        for passage in kinds[slot.kind].passages.values():
            for valve in positions(plan, slot):
                tail, head = (
                    end if end in AMBIENTS else names[(slot.name, end, valve)] for end in passage.between
                )
                yield Way(slot.name, passage.name, valve, tail, head)


def _graph(ways: Iterable[Way]) -> "nx.MultiGraph[str]":
    graph: nx.MultiGraph[str] = nx.MultiGraph()
    for way in ways:
        graph.add_edge(way.tail, way.head, key=way)
    return graph


def _ways_at(graph: "nx.MultiGraph[str]", node: str) -> list[Way]:
    return [way for _, _, way in graph.edges(node, keys=True)]


def _chains(ways: tuple[Way, ...], source: str) -> Iterator[Chain]:
    """Follow ways from each kept node until the next; those that end blind or that no oil could reach are no chains."""
    graph = _graph(ways)
    _prune(graph, source)
    kept = [n for n in graph if n == source or n in AMBIENTS or graph.degree(n) > 2]
    distance = _distances(_graph(way for way in ways if is_inner(way)), source)
    used: set[Way] = set()
    for node in sorted((n for n in kept if n in distance), key=distance.__getitem__):
        for way in _ways_at(graph, node):
            if way not in used:
                chain = _followed(graph, node, way, set(kept))
                used.update(chain.ways)
                if chain.head in kept:
                    yield chain


def _prune(graph: "nx.MultiGraph[str]", source: str) -> None:
    """Take away what ends blind: no oil moves there, and it must not part a row in two."""
    while blind := [n for n in graph if graph.degree(n) <= 1 and n != source and n not in AMBIENTS]:
        graph.remove_nodes_from(blind)


def _distances(graph: "nx.MultiGraph[str]", source: str) -> dict[str, int]:
    """Steps from the pump without passing through open space, which would join everything."""
    return dict(nx.single_source_shortest_path_length(graph, source)) if source in graph else {}


def _followed(graph: "nx.MultiGraph[str]", start: str, way: Way, kept: set[str]) -> Chain:
    row, node = [way], _far(way, start)
    while node not in kept:
        onward = [other for other in _ways_at(graph, node) if other is not row[-1]]
        if not onward:
            break
        row.append(onward[0])
        node = _far(onward[0], node)
    return Chain(tuple(row), start, node)


def _far(way: Way, near: str) -> str:
    return way.head if way.tail == near else way.tail


def joined_ports(plan: Plan) -> set[tuple[str, str]]:
    """Slot and port of everything that meets something."""
    return {end for pair in (*plan.joins, *station_joins(plan)) for end in map(parsed, pair)}


def _entries(plan: Plan, ways: tuple[Way, ...], names: Mapping[Port, str]) -> dict[Valve, tuple[str, ...]]:
    """The joined nodes through which oil can come into the part that leads to each valve."""
    joined = joined_ports(plan)
    found: dict[Valve, dict[str, None]] = {valve: {} for valve in plan.valves}
    tops = {(way.slot, way.valve) for way in ways if way.head == "rocker_cover"}
    for (slot, port, valve), name in names.items():
        if valve is not None and (slot, valve) in tops and (slot, port) in joined:
            found[valve].setdefault(name)
    return {valve: tuple(nodes) for valve, nodes in found.items()}
