"""Drains of an engine, alike among themselves: what they pass at a depth, and how deep oil settles over them.

What is not given stands as 1 here and is never shown: `facts` knows what each fact takes.
"""

from typing import Any

import numpy as np
from msgspec import Struct

from upfeed.flow.circuit import Circuit
from upfeed.flow.engines import Engines, number
from upfeed.physics.drains import depth_for, drain_flow
from upfeed.physics.flooding import flooding_limit, gas_density
from upfeed.physics.resistance import Array, Numbers, per

_NOT_GIVEN = 1.0


class Drains(Struct, frozen=True):
    """Drains through which oil comes down and all blow-by rises evenly: `count` of them, and what flows in each."""

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

    def along(self) -> "Drains":
        """The same with an axis behind, for the nodes of an integral over depths."""
        return Drains(*(getattr(self, name)[..., None] for name in self.__struct_fields__))


def drains(circuit: Circuit, count: Array, diameter: Array, length: Array) -> Drains:
    """So many drains of this size, under each point's gas and pressure: [V, P] each."""
    engines, shape = circuit.engines, circuit.shape
    blow_by = at_points(engines, "blow_by")
    arrays: tuple[Any, ...] = (
        count,
        diameter,
        length,
        at_points(engines, "crankcase_pressure"),
        np.where(count > 0, blow_by / np.maximum(count, 1.0), 0.0),
        circuit.network.mu.reshape(shape),
        circuit.network.rho.reshape(shape),
        gas_density(at_points(engines, "oil_temperature")),
    )
    return Drains(*np.broadcast_arrays(*arrays))


def whole(engines: Engines, slot: str, attribute: str) -> Array:
    """An attribute of the whole engine's part in a slot: [V, 1]."""
    if slot not in engines.plan.slots:
        return np.full((len(engines.variants), 1), _NOT_GIVEN)
    return np.array([[number(v.at(slot, 0).get(attribute, _NOT_GIVEN))] for v in engines.variants])


def at_points(engines: Engines, attribute: str) -> Array:
    """An attribute of the operating points: [V, P]."""
    rows = [
        [number(v.points[p].get(attribute, _NOT_GIVEN)) for p in engines.points] for v in engines.variants
    ]
    return np.array(rows)
