"""Oil in the valley between the banks, where the heads let it down into one: it has drains of its own."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from upfeed.flow.circuit import Circuit
from upfeed.flow.drains import drains, whole
from upfeed.physics.resistance import Array

DRAINED = "drained"


class Valley(Struct, frozen=True):
    """What comes down into the valley and what becomes of it, [V, P] each, SI.

    `there` tells engines that have one; the others hold and hold back nothing. `spare` is what its drains would pass
    beside what the lifters let by, before it backs up; below zero even that backs up.
    """

    there: NDArray[np.bool_]
    inflow: Array
    capacity: Array
    flooded: NDArray[np.bool_]
    depth: Array
    held: Array
    spare: Array


def valley(circuit: Circuit, fed: Array, seeped: Array) -> Valley:
    """The valley under what is `fed` into the covers and what `seeped` past the lifters' upper lands, m3/s: [V, P].

    It is in series with the heads' drains: all that is fed comes through it, and the same gas rises in both. Beyond
    its rim it backs up into them.
    """
    engines = circuit.engines
    there = np.broadcast_to(_there(circuit), circuit.shape)
    sizes = (whole(engines, "block", f"valley_drain_{name}") for name in ("count", "diameter", "length"))
    ways, rim = drains(circuit, *sizes), np.broadcast_to(whole(engines, "block", "valley_rim"), circuit.shape)
    capacity, settled = ways.passed(rim, ways.gas), ways.steady_depth(fed + seeped)
    depth = np.where(there, np.minimum(settled, rim), 0.0)
    return Valley(
        there=there,
        inflow=np.where(there, fed + seeped, 0.0),
        capacity=np.where(there, capacity, 0.0),
        flooded=there & (settled > rim),
        depth=depth,
        held=depth * whole(engines, "block", "valley_area"),
        spare=np.where(there, capacity - seeped, np.inf),
    )


def _there(circuit: Circuit) -> NDArray[np.bool_]:
    has = [[v.at("block", 0).get("valley") == DRAINED] for v in circuit.engines.variants]
    return np.array(has)
