"""Whether the oil comes down again: drains against what is fed, oil held up in the covers, what is left to draw from.

What is not given stands as 1 here and is never shown: `facts` knows what each fact takes.
"""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from upfeed.flow.circuit import Circuit
from upfeed.flow.drains import Drains, drains, whole
from upfeed.flow.valley import Valley, valley
from upfeed.physics.pan import time_between_levels, wall_oil
from upfeed.physics.resistance import Array


class Returned(Struct, frozen=True):
    """Oil on its way down, [V, P] each, SI.

    `flooded`: more is fed than ever runs down against the gas. `bare`: the pickup ends up drawing air; only there
    `time_to_bare` is finite. All levels are those the engine settles at.
    """

    capacity: Array
    quiet_capacity: Array
    flooded: NDArray[np.bool_]
    depth: Array
    held_up: Array
    valley: Valley
    in_transit: Array
    over_pickup: Array
    bare: NDArray[np.bool_]
    time_to_bare: Array


def returning(circuit: Circuit, fed: Array, seeped: Array, delivered: Array) -> Returned:
    """Where the oil is that comes out under the covers (`fed`, m3/s) and that the pump delivers: [V, P] each.

    All heads get the same, all drains alike; gas rises evenly through all of them. `seeped` is what lifters let by
    upwards. Where a valley backs up, no more comes down from the covers than it has left over.
    """
    engines, shape = circuit.engines, circuit.shape
    ways, below = _head_drains(circuit), valley(circuit, fed, seeped)
    surface, reserve = whole(engines, "oil_pan", "surface_area"), whole(engines, "oil_pan", "reserve")
    floor = whole(engines, "cylinder_head", "floor_area")
    covers = whole(engines, "cylinder_head", "head_count") * floor
    # The crankcase's walls: as long round as the oil below, taken as square.
    in_transit = wall_oil(
        delivered, 4 * np.sqrt(surface), whole(engines, "oil_pan", "fall"), ways.mu / ways.rho
    )
    spare = np.maximum(reserve - in_transit - below.held, 0.0)
    alone = ways.steady_depth(fed)
    steady, full, bare_at = (
        np.where(below.flooded, np.inf, alone),
        whole(engines, "cylinder_head", "cover_volume") / floor,
        spare / covers,
    )
    depth = np.minimum(np.minimum(steady, full), bare_at)
    bare = (spare <= 0) | ((bare_at < steady) & (bare_at <= full))
    guides = np.broadcast_to(whole(engines, "cylinder_head", "guide_height"), shape)
    along, onward = ways.along(), below.spare[..., None]
    return Returned(
        capacity=ways.passed(guides, ways.gas),
        quiet_capacity=ways.passed(guides, 0.0),
        flooded=np.isinf(alone),
        depth=depth,
        held_up=depth * covers + below.held,
        valley=below,
        in_transit=in_transit,
        over_pickup=np.where(bare, 0.0, np.maximum(spare - depth * covers, 0.0)) / surface,
        bare=bare,
        time_to_bare=time_between_levels(
            fed,
            lambda at: np.minimum(along.passed(at, along.gas), onward),
            np.broadcast_to(covers, shape),
            0.0 * bare_at,
            bare_at,
        ),
    )


def _head_drains(circuit: Circuit) -> Drains:
    engines = circuit.engines
    drilled = whole(engines, "cylinder_head", "drain_count")
    left = np.maximum(drilled - whole(engines, "gasket", "drains_masked"), 0.0)
    return drains(
        circuit,
        whole(engines, "cylinder_head", "head_count") * left,
        whole(engines, "cylinder_head", "drain_diameter"),
        whole(engines, "cylinder_head", "drain_length"),
    )
