"""Reads in which order, and at which crank angles, the cylinders of a family fire."""

import math
from itertools import pairwise

from upfeed.reading.faults import quoted
from upfeed.reading.nodes import Node, Scalar, Sequence
from upfeed.reading.reader import Reader
from upfeed.reading.units import UnitFault, parse

_CYCLE = 4 * math.pi
"""Two turns of the crank, rad."""


def read_firing(given: Reader, cylinders: int) -> tuple[float, ...]:
    """Each cylinder's crank angle, rad, after the firing of cylinder 1; empty where no order is given.

    Evenly spaced, unless `firing_angles` gives the angles in the order of firing.
    """
    if given.node("firing_order") is None:
        if given.node("firing_angles") is not None:
            given.fault("firing_angles", "angles without an order", "`firing_order` beside them")
        return ()
    order, angles = _order(given, cylinders), _angles(given, cylinders)
    if not order or not angles:
        return ()
    fires = dict(zip(order, angles, strict=True))
    return tuple((fires[cylinder] - fires[1]) % _CYCLE for cylinder in range(1, cylinders + 1))


def _order(given: Reader, cylinders: int) -> tuple[int, ...]:
    items = _items(given, "firing_order")
    written = [item.text for item in items if isinstance(item, Scalar) and item.form == "number"]
    if sorted(written) != sorted(map(str, range(1, cylinders + 1))):
        told = ", ".join(written) or "no numbers"
        given.fault(
            "firing_order", quoted(told), f"every cylinder from 1 to {cylinders} once, in order of firing"
        )
        return ()
    return tuple(map(int, written))


def _angles(given: Reader, cylinders: int) -> tuple[float, ...]:
    if given.node("firing_angles") is None:
        return tuple(_CYCLE * place / cylinders for place in range(cylinders))
    items = _items(given, "firing_angles")
    angles = tuple(a for a in (_angle(given, item) for item in items) if a is not None)
    rises = all(a < b for a, b in pairwise(angles))
    if len(angles) != cylinders or not rises or angles[-1] - angles[0] >= _CYCLE:
        expected = f"{cylinders} rising angles within 720 deg, in firing order"
        given.fault("firing_angles", f"{len(angles)} angles", expected)
        return ()
    return angles


def _angle(given: Reader, item: Node) -> float | None:
    try:
        return parse(item.text if isinstance(item, Scalar) else "", "angle")
    except UnitFault as fault:
        given.fault("firing_angles", fault.found, fault.expected, fault.advice)
        return None


def _items(given: Reader, key: str) -> list[Node]:
    node = given.node(key)
    return list(node.items) if isinstance(node, Sequence) else []
