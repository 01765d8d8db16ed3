"""The ways of oil through a family, from the ports of its parts: nodes, chains between them, and what is reached.

A family's topology is fixed. Parts open or shut its ways; they never add or remove one.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any

import networkx as nx
from msgspec import Struct

from upfeed.knowledge.records import Plan, Slot, Valve
from upfeed.knowledge.vocabulary import AMBIENTS, Kind

Port = tuple[str, str, Valve | None]
"""A slot's port, at a valve where the slot has a part for each."""


Shut = tuple[str, str, Valve | None]
"""A passage that is shut: slot, passage, valve."""


class Way(Struct, frozen=True):
    """One passage of one part of an engine, between two nodes of the plan."""

    slot: str
    passage: str
    valve: Valve | None
    tail: str
    head: str


class Chain(Struct, frozen=True):
    """Ways in a row between two nodes where oil can part or leave, in the direction away from the pump."""

    ways: tuple[Way, ...]
    tail: str
    head: str

    @property
    def valve(self) -> Valve | None:
        """The valve it serves, or None for the whole engine."""
        return next((way.valve for way in self.ways if way.valve), None)

    @property
    def steps(self) -> tuple[tuple[str, str], ...]:
        """Slot and passage of each way, in order."""
        return tuple((way.slot, way.passage) for way in self.ways)


class Topology(Struct, frozen=True):
    """A family's oil ways: `source` is the node the pump delivers into."""

    source: str
    nodes: tuple[str, ...]
    ways: tuple[Way, ...]
    chains: tuple[Chain, ...]
    entries: dict[Valve, tuple[str, ...]]

    def ways_up(self, shut: Collection[Shut]) -> dict[Valve, int]:
        """How many entries of each rocker are fed, where its own way to the valve is open too."""
        passable = [way for way in self.ways if (way.slot, way.passage, way.valve) not in shut]
        return {valve: self._fed_entries(passable, valve) for valve in self.entries}

    def paths_to(self, valve: Valve) -> tuple[tuple[Chain, ...], ...]:
        """Every row of chains from the pump to this valve's rocker, the shortest first; open or shut."""
        onward = [
            chain for chain in self.chains if chain.valve in (None, valve) and chain.head != "crankcase"
        ]
        graph: nx.MultiDiGraph[Any] = nx.MultiDiGraph()
        for place, chain in enumerate(onward):
            graph.add_edge(chain.tail, chain.head, key=place)
        if self.source not in graph or "rocker_cover" not in graph:
            return ()
        paths = nx.all_simple_edge_paths(graph, self.source, "rocker_cover")
        places = sorted((len(path), [edge[-1] for edge in path]) for path in paths)
        return tuple(tuple(onward[place] for place in path) for _, path in places)

    def _fed_entries(self, passable: list[Way], valve: Valve) -> int:
        slots = {way.slot for way in self.ways if way.valve == valve and way.head == "rocker_cover"}
        own = [way for way in passable if way.valve == valve and way.slot in slots]
        inner = _graph(way for way in own if _is_inner(way))
        fed = _together(_graph(w for w in passable if _is_inner(w) and w not in own), self.source)
        leaving = {n for way in own if way.head == "rocker_cover" for n in _together(inner, way.tail)}
        return sum(1 for entry in self.entries[valve] if entry in fed and entry in leaving)


def _is_inner(way: Way) -> bool:
    """Whether a way lies between nodes; those into an open space would join everything."""
    return not {way.tail, way.head} & set(AMBIENTS)


def topology(plan: Plan, kinds: Mapping[str, Kind]) -> Topology:
    """Merge joined ports into nodes and collapse ways in a row.

    Expects a plan whose slots, kinds and ports exist (`load` checks that).
    """
    names = _node_names(plan, kinds)
    ways = tuple(_ways(plan, kinds, names))
    pump = next(slot for slot in plan.slots.values() if kinds[slot.kind].source)
    source = names[(pump.name, _into(kinds[pump.kind]), None)]
    chains = tuple(_chains(ways, source))
    nodes = dict.fromkeys(n for chain in chains for n in (chain.tail, chain.head) if n not in AMBIENTS)
    return Topology(source, tuple(nodes | {source: None}), ways, chains, _entries(plan, ways, names))


def _into(kind: Kind) -> str:
    assert kind.source is not None
    return kind.source.into


def _positions(plan: Plan, slot: Slot) -> tuple[Valve | None, ...]:
    return plan.valves if slot.each == "valve" else (None,)


def _node_names(plan: Plan, kinds: Mapping[str, Kind]) -> dict[Port, str]:
    """Joined ports share one name: that of the port that serves the whole engine, else the first joined."""
    ports = [
        (slot.name, port, valve)
        for slot in plan.slots.values()
        for port in kinds[slot.kind].ports
        for valve in _positions(plan, slot)
    ]
    union = nx.utils.UnionFind(ports)
    for pair in _joined(plan):
        union.union(*pair)
    groups: dict[Port, list[Port]] = {}
    for port in ports:
        groups.setdefault(union[port], []).append(port)
    return {
        port: _name(min(group, key=lambda p: p[2] is not None)) for group in groups.values() for port in group
    }


def _name(port: Port) -> str:
    slot, name, valve = port
    return f"{slot}.{name}" if valve is None else f"{slot}.{name}[{valve[0]} {valve[1]}]"


def _joined(plan: Plan) -> Iterator[tuple[Port, Port]]:
    for first, second in plan.joins:
        one, other = _parsed(first), _parsed(second)
        for valve in plan.valves:
            yield _at(plan, one, valve), _at(plan, other, valve)


def _parsed(text: str) -> tuple[str, str]:
    slot, _, port = text.partition(".")
    return slot, port


def _at(plan: Plan, end: tuple[str, str], valve: Valve) -> Port:
    return (*end, valve if plan.slots[end[0]].each == "valve" else None)


def _ways(plan: Plan, kinds: Mapping[str, Kind], names: Mapping[Port, str]) -> Iterator[Way]:
    for slot in plan.slots.values():
        for passage in kinds[slot.kind].passages.values():
            for valve in _positions(plan, slot):
                tail, head = (
                    end if end in AMBIENTS else names[(slot.name, end, valve)] for end in passage.between
                )
                yield Way(slot.name, passage.name, valve, tail, head)


def _graph(ways: Iterable[Way]) -> "nx.MultiGraph[str]":
    graph: nx.MultiGraph[str] = nx.MultiGraph()
    for way in ways:
        graph.add_edge(way.tail, way.head, way=way)
    return graph


def _together(graph: "nx.MultiGraph[str]", node: str) -> set[str]:
    return set(nx.node_connected_component(graph, node)) if node in graph else {node}


def _ways_at(graph: "nx.MultiGraph[str]", node: str) -> list[Way]:
    return [graph.edges[edge]["way"] for edge in graph.edges(node, keys=True)]


def _chains(ways: tuple[Way, ...], source: str) -> Iterator[Chain]:
    """Follow ways from each kept node until the next; those that end blind are no chains."""
    graph = _graph(ways)
    kept = [n for n in graph if n == source or n in AMBIENTS or graph.degree(n) > 2]
    distance = _distances(_graph(way for way in ways if _is_inner(way)), source)
    used: set[Way] = set()
    for node in sorted((n for n in kept if n not in AMBIENTS), key=lambda n: distance.get(n, len(graph))):
        for way in _ways_at(graph, node):
            if way not in used:
                chain = _followed(graph, node, way, set(kept))
                used.update(chain.ways)
                if chain.head in kept:
                    yield chain


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


def _entries(plan: Plan, ways: tuple[Way, ...], names: Mapping[Port, str]) -> dict[Valve, tuple[str, ...]]:
    """The joined nodes through which oil can come into the part that leads to each valve."""
    joined = {end for pair in plan.joins for end in map(_parsed, pair)}
    found: dict[Valve, dict[str, None]] = {valve: {} for valve in plan.valves}
    tops = {(way.slot, way.valve) for way in ways if way.head == "rocker_cover"}
    for (slot, port, valve), name in names.items():
        if valve is not None and (slot, valve) in tops and (slot, port) in joined:
            found[valve].setdefault(name)
    return {valve: tuple(nodes) for valve, nodes in found.items()}
