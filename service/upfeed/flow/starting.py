"""First oil at the points at which an engine is started: those that have a cranking speed."""

import numpy as np
from numpy.typing import NDArray

from upfeed.flow.circuit import Circuit
from upfeed.flow.delivery import inflow_at
from upfeed.flow.first_oil import Filling, Turned
from upfeed.flow.solve import Solution
from upfeed.flow.somepoints import at_some_points
from upfeed.physics.resistance import Array

Known = NDArray[np.bool_]


class Cranked:
    """Times of filling by the pump at each point's speed, and as slow as the starter turns it."""

    def __init__(self, circuit: Circuit, solution: Solution) -> None:
        self._shape = circuit.shape
        speed, self._given = circuit.engines.given_at_points("cranking_speed")
        self._points = np.flatnonzero(self._given.any(axis=0)).tolist()
        some = at_some_points(circuit, self._points)
        running = some.network.inflow
        of_point = circuit.engines.at_points("speed")[:, :, 0]
        turned = np.where(self._given, speed, of_point)[:, self._points]
        share = (turned / of_point[:, self._points]).reshape(-1)
        cranked = inflow_at(some.engines, turned, some.network.mu, some.network.rho)
        ways = Turned(running, np.ones_like(share)), Turned(cranked, share)
        self._filling = Filling(some, self._some(solution), ways)

    def time(self, valve: int) -> list[tuple[Array, Known]]:
        """Time, s, until oil stands at a rocker, with the engine running and cranked: [V, P] each.

        Known at points that have a cranking speed.
        """
        found = self._filling.time(valve) if self._points else []
        return [self._spread(*one) for one in found] or [self._spread(np.zeros(0), np.zeros(0, bool))] * 2

    def _some(self, solution: Solution) -> Solution:
        cases = np.arange(self._shape[0] * self._shape[1]).reshape(self._shape)[:, self._points].reshape(-1)
        return Solution(*(getattr(solution, name)[cases] for name in Solution.__struct_fields__))

    def _spread(self, time: Array, known: Known) -> tuple[Array, Known]:
        """From some points to all."""
        whole, where = np.zeros(self._shape), np.zeros(self._shape, dtype=bool)
        if self._points:
            whole[:, self._points], where[:, self._points] = time, known
        return whole, where & self._given
