"""Which valves a name for several of them means: the way back from how answers call them."""

from upfeed.knowledge.records import Plan, Valve


def named_valves(plan: Plan, name: str) -> frozenset[Valve]:
    """The valves that `variants.valve_names` calls so: `all except 3 intake` is all the others.

    What is no such name means none.
    """
    whole, _, less = name.partition(" except ")
    return _listed(plan, whole) - _listed(plan, less)


def _listed(plan: Plan, names: str) -> frozenset[Valve]:
    return frozenset(valve for one in names.split(", ") for valve in plan.valves if _means(one, valve))


def _means(name: str, valve: Valve) -> bool:
    cylinder, role = valve
    return name in ("all", role, f"{cylinder} {role}")
