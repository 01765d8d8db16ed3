"""Whether the oil comes down again: drains against what is fed, oil held up in the covers, what is left to draw from.

What is not given stands as 1 here and is never shown: `facts` knows what each fact takes.
"""

from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from upfeed.flow.circuit import Circuit
from upfeed.flow.engines import Engines, number
from upfeed.physics.drains import depth_for, drain_flow
from upfeed.physics.flooding import flooding_limit, gas_density
from upfeed.physics.pan import time_between_levels, wall_oil
from upfeed.physics.resistance import Array, Numbers, per

_NOT_GIVEN = 1.0


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
    in_transit: Array
    over_pickup: Array
    bare: NDArray[np.bool_]
    time_to_bare: Array


class _Drains(Struct, frozen=True):
    """All drains of an engine: `count` of them, alike, and what flows in each."""

    count: Array
    diameter: Array
    length: Array
    back_pressure: Array
    gas: Array
    mu: Array
    rho: Array
    gas_rho: Array

    def limit(self, gas: Numbers) -> Array:
        """Most oil down one of them, however deep it stands."""
        return flooding_limit(gas, self.diameter, self.mu, self.rho, self.gas_rho)

    def passed(self, depth: Array, gas: Numbers) -> Array:
        """Oil down all of them together at a depth."""
        one = drain_flow(depth, self.diameter, self.length, self.back_pressure, self.mu, self.rho)
        return self.count * np.minimum(one, self.limit(gas))

    def steady_depth(self, oil: Array) -> Array:
        """Depth at which they pass this much oil together; infinite where they never do."""
        one = np.where(oil > 0, per(oil, self.count), 0.0)
        depth = depth_for(one, self.diameter, self.length, self.back_pressure, self.mu, self.rho)
        return np.where(one > self.limit(self.gas), np.inf, depth)

    def along(self) -> "_Drains":
        """The same with an axis behind, for the nodes of an integral over depths."""
        return _Drains(*(getattr(self, name)[..., None] for name in self.__struct_fields__))


def returning(circuit: Circuit, fed: Array, delivered: Array) -> Returned:
    """Where the oil is that comes out under the covers (`fed`, m3/s) and that the pump delivers: [V, P] each.

    All heads get the same, all drains alike; gas rises evenly through all of them.
    """
    engines, shape = circuit.engines, circuit.shape
    drains = _drains(circuit)
    surface, reserve = _of(engines, "oil_pan", "surface_area"), _of(engines, "oil_pan", "reserve")
    floor = _of(engines, "cylinder_head", "floor_area")
    covers = _of(engines, "cylinder_head", "head_count") * floor
    # The crankcase's walls: as long round as the oil below, taken as square.
    in_transit = wall_oil(
        delivered, 4 * np.sqrt(surface), _of(engines, "oil_pan", "fall"), drains.mu / drains.rho
    )
    spare = np.maximum(reserve - in_transit, 0.0)
    steady, full, bare_at = (
        drains.steady_depth(fed),
        _of(engines, "cylinder_head", "cover_volume") / floor,
        spare / covers,
    )
    depth = np.minimum(np.minimum(steady, full), bare_at)
    bare = (spare <= 0) | ((bare_at < steady) & (bare_at <= full))
    guides = np.broadcast_to(_of(engines, "cylinder_head", "guide_height"), shape)
    along = drains.along()
    return Returned(
        capacity=drains.passed(guides, drains.gas),
        quiet_capacity=drains.passed(guides, 0.0),
        flooded=np.isinf(steady),
        depth=depth,
        held_up=depth * covers,
        in_transit=in_transit,
        over_pickup=np.where(bare, 0.0, np.maximum(spare - depth * covers, 0.0)) / surface,
        bare=bare,
        time_to_bare=time_between_levels(
            fed,
            lambda at: along.passed(at, along.gas),
            np.broadcast_to(covers, shape),
            0.0 * bare_at,
            bare_at,
        ),
    )


def _drains(circuit: Circuit) -> _Drains:
    engines, shape = circuit.engines, circuit.shape
    heads, drilled = _of(engines, "cylinder_head", "head_count"), _of(engines, "cylinder_head", "drain_count")
    count = heads * np.maximum(drilled - _of(engines, "gasket", "drains_masked"), 0.0)
    blow_by = _at_points(engines, "blow_by")
    arrays: tuple[Any, ...] = (
        count,
        _of(engines, "cylinder_head", "drain_diameter"),
        _of(engines, "cylinder_head", "drain_length"),
        _at_points(engines, "crankcase_pressure"),
        np.where(count > 0, blow_by / np.maximum(count, 1.0), 0.0),
        circuit.network.mu.reshape(shape),
        circuit.network.rho.reshape(shape),
        gas_density(_at_points(engines, "oil_temperature")),
    )
    return _Drains(*np.broadcast_arrays(*arrays))


def _of(engines: Engines, slot: str, attribute: str) -> Array:
    """An attribute of the whole engine's part in a slot: [V, 1]."""
    if slot not in engines.plan.slots:
        return np.full((len(engines.variants), 1), _NOT_GIVEN)
    return np.array([[number(v.at(slot, 0).get(attribute, _NOT_GIVEN))] for v in engines.variants])


def _at_points(engines: Engines, attribute: str) -> Array:
    """An attribute of the operating points: [V, P]."""
    rows = [
        [number(v.points[p].get(attribute, _NOT_GIVEN)) for p in engines.points] for v in engines.variants
    ]
    return np.array(rows)
