"""The ways to parts that have to stay full of oil, and down from a rocker into the crankcase."""

from collections.abc import Collection, Mapping

from upfeed.flow.plan import Shut, Topology, joined_ports
from upfeed.flow.ways import Chain
from upfeed.knowledge.records import Plan, Slot, Valve
from upfeed.knowledge.vocabulary import Kind


def paths_down(topology: Topology, valve: Valve) -> tuple[tuple[Chain, ...], ...]:
    """Every row of chains from the pump through this valve's rocker into the crankcase, the shortest first."""
    tops = topology.tops(valve)
    return tuple(
        path
        for path in topology.paths(valve, "crankcase")
        if any(way.valve and way.slot in tops for chain in path for way in chain.ways)
    )


def ways_to_fill(
    topology: Topology, plan: Plan, kinds: Mapping[str, Kind], shut: Collection[Shut]
) -> dict[Valve, int]:
    """How many entries of each valve's lifter are fed and open to its inside, given what is shut.

    Of several parts that have to stay full the least; no valve where the family has none.
    """
    having = [slot for slot in plan.slots.values() if slot.each == "valve" and kinds[slot.kind].kept_full]
    if not having:
        return {}
    passable, joined = topology.passable(shut), joined_ports(plan)

    def filling(slot: Slot, valve: Valve) -> int:
        kind = kinds[slot.kind]
        own = passable.of(slot.name, valve)
        entries = {topology.ports[slot.name, p, valve] for p in kind.ports if (slot.name, p) in joined}
        inside = [topology.ports[slot.name, p, valve] for p in kind.kept_full]
        return topology.open_entries(passable, own, entries, inside)

    return {valve: min(filling(slot, valve) for slot in having) for valve in plan.valves}
