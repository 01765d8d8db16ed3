"""Reads what stands along a family's galleries: rows of valves, and the ports that meet from one to the next."""

from upfeed.knowledge.records import Plan, Stations, Valve
from upfeed.reading.faults import quoted
from upfeed.reading.nearest import did_you_mean
from upfeed.reading.nodes import Node, Scalar, Sequence
from upfeed.reading.reader import Reader


def read_stations(given: Reader | None, plan: Plan) -> Stations | None:
    """Rows and joins as written; None where the gallery is one place to all valves."""
    if given is None:
        return None
    given.only("rows", "enters", "onward", "leaves")
    enters, onward, leaves = (_pair(given, key) for key in ("enters", "onward", "leaves"))
    for key, pair in (("enters", enters), ("onward", onward)):
        if pair is None:
            given.fault(key, "nothing", "the two ports that meet, as [block.lifter_gallery, lifter.bore]")
    if enters is None or onward is None:
        return None
    return Stations(_rows(given, plan), enters, onward, leaves)


def station_joins(plan: Plan) -> tuple[tuple[str, str], ...]:
    """The pairs of ports that meet along the rows."""
    stations = plan.stations
    if stations is None:
        return ()
    return tuple(pair for pair in (stations.enters, stations.onward, stations.leaves) if pair)


def _pair(given: Reader, key: str) -> tuple[str, str] | None:
    ends = given.words(key)
    if ends and len(ends) != 2:
        given.fault(key, f"{len(ends)} ports", "the two that meet")
    return (ends[0], ends[1]) if len(ends) == 2 else None


def _rows(given: Reader, plan: Plan) -> tuple[tuple[Valve, ...], ...]:
    """Every valve stands once in one row, in the order that oil gets to it."""
    node = given.node("rows")
    lists = (
        [row.items for row in node.items if isinstance(row, Sequence)] if isinstance(node, Sequence) else []
    )
    named = {f"{cylinder} {role}": (cylinder, role) for cylinder, role in plan.valves}
    words = [[_text(item) for item in row] for row in lists]
    for word in (word for row in words for word in row if word not in named):
        given.fault(
            "rows", quoted(word), "a valve of this plan, as 1 intake", did_you_mean(word, list(named))
        )
    rows = tuple(tuple(named[word] for word in row if word in named) for row in words)
    standing = [valve for row in rows for valve in row]
    if sorted(standing) != sorted(plan.valves):
        found = f"{len(set(standing))} valves in {len(standing)} places"
        given.fault("rows", found, f"each of the {len(plan.valves)} valves once, in rows from the fed end on")
    return rows


def _text(node: Node) -> str:
    return node.text if isinstance(node, Scalar) else ""
