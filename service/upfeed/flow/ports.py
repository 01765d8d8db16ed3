"""Where the ports of an engine's parts meet: ports that are joined become one node, by one name."""

import itertools
from collections.abc import Collection, Iterator, Mapping

import networkx as nx

from upfeed.knowledge.records import Plan, Slot, Stations, Valve
from upfeed.knowledge.vocabulary import Kind

Port = tuple[str, str, Valve | None]
"""A slot's port, at a valve where the slot has a part for each."""


def positions(plan: Plan, slot: Slot) -> tuple[Valve | None, ...]:
    """Where a slot has parts: at every valve, or once."""
    return plan.valves if slot.each == "valve" else (None,)


def node_names(
    plan: Plan, kinds: Mapping[str, Kind], joining: Collection[tuple[str, str]] = ()
) -> dict[Port, str]:
    """Joined ports share one name: that of the port that serves the whole engine, else the first joined.

    `joining` are passages, as slot and passage, that join their own ends.
    """
    ports = [
        (slot.name, port, valve)
        for slot in plan.slots.values()
        for port in kinds[slot.kind].ports
        for valve in positions(plan, slot)
    ]
    union = nx.utils.UnionFind(ports)
    for pair in _joined(plan):
        union.union(*pair)
    for name, passage in joining:
        slot = plan.slots[name]
        for valve in positions(plan, slot):
            union.union(*((name, end, valve) for end in kinds[slot.kind].passages[passage].between))
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
    for pair in plan.joins:
        for valve in plan.valves:
            yield _meeting(plan, pair, valve, valve)
    if plan.stations is not None:
        for row in plan.stations.rows:
            yield from _joined_along(plan, plan.stations, row)


def _joined_along(plan: Plan, stations: Stations, row: tuple[Valve, ...]) -> Iterator[tuple[Port, Port]]:
    yield _meeting(plan, stations.enters, row[0], row[0])
    for one, following in itertools.pairwise(row):
        yield _meeting(plan, stations.onward, one, following)
    if stations.leaves:
        yield _meeting(plan, stations.leaves, row[-1], row[-1])


def _meeting(plan: Plan, ends: tuple[str, str], one: Valve, other: Valve) -> tuple[Port, Port]:
    return _at(plan, parsed(ends[0]), one), _at(plan, parsed(ends[1]), other)


def parsed(text: str) -> tuple[str, str]:
    """Slot and port of `slot.port`."""
    slot, _, port = text.partition(".")
    return slot, port


def _at(plan: Plan, end: tuple[str, str], valve: Valve) -> Port:
    return (*end, valve if plan.slots[end[0]].each == "valve" else None)
