"""Node pressures and branch flows of many oil circuits of one topology at once.

Every flow rises with the pressure across it, so the solution is unique.
"""

import numpy as np
from msgspec import Struct

from upfeed.flow.network import Mask, Network, incidence, reached_nodes
from upfeed.flow.throughput import Throughput
from upfeed.physics.resistance import Array
from upfeed.physics.supply import spring_valve

TOLERANCE = 1e-9
"""Largest accepted mass-balance residual, as a share of pump displacement times top speed."""

_AIM = 1e-12
_STEPS = 80
_HALVINGS = 40
# How far past the balance a step may shoot, as a share of the way to it.
_OVERSHOOT = 0.5
# Pressure, Pa, so small that the pump's top flow over it is slope without end; no real passage comes near.
_STILL = 1e-4


class Solution(Struct, frozen=True):
    """Every case's pressures and flows.

    pressure [C, N] in Pa (0 where not reached), reached [C, N], flow [C, E] in m3/s of one of each branch,
    relief [C] in m3/s, residual [C] as a share of scale, converged [C].
    """

    pressure: Array
    reached: Mask
    flow: Array
    relief: Array
    residual: Array
    converged: Mask


class _State(Struct, frozen=True):
    """Pressures and imbalances [C, N], flows and slopes of one of each branch [C, E], the relief's [C]."""

    pressure: Array
    imbalance: Array
    flow: Array
    slope: Array
    relief: Array
    rise: Array


def solve(network: Network, start: Array | None = None) -> Solution:
    """Solve every case by damped Newton steps; a case that fails is reported alone, by `converged`.

    `start`: pressures [C, N], Pa, to begin at, where a near solution is known.
    """
    balance = _Balance(network)
    state = balance.lumped() if start is None else balance.at(np.where(balance.reached, start, 0.0))
    residual = balance.residual(state)
    settled = residual <= _AIM
    for _ in range(_STEPS):
        if settled.all():
            break
        state = balance.improved(state, ~settled)
        before, residual = residual, balance.residual(state)
        # Good enough and no better for another step: what is left is rounding.
        settled |= (residual <= _AIM) | ((residual <= TOLERANCE) & (residual > before / 2))
    return Solution(
        state.pressure, balance.reached, state.flow, state.relief, residual, residual <= TOLERANCE
    )


class _Balance:
    """What comes into every node less what goes out, for pressures, and the steps that bring it to nothing."""

    def __init__(self, network: Network) -> None:
        self._network, self._throughput = network, Throughput(network)
        self.reached = reached_nodes(network)
        self._incidence = incidence(network)
        nodes = network.nodes
        self._stamps = (self._incidence[:, None] * self._incidence).reshape(nodes**2, -1).T.copy()
        self._ground = np.where(self.reached, _hair(network)[:, None], 1.0)

    def at(self, pressure: Array) -> _State:
        network = self._network
        through, slope = self._throughput.at(pressure @ self._incidence)
        relief, rise = spring_valve(pressure[:, network.source], network.relief_opens, network.relief_slope)
        imbalance = -(through * network.count) @ self._incidence.T
        imbalance[:, network.source] += network.inflow - relief
        imbalance *= self.reached
        return _State(pressure, imbalance, through, slope, relief, rise)

    def residual(self, state: _State) -> Array:
        shares: Array = np.abs(state.imbalance).max(axis=1) / self._network.scale
        return shares

    def lumped(self) -> _State:
        """All nodes at the one pressure at which as much would go to the outside as comes in, nearly.

        Found from flow and slope at the relief's opening: what goes out obeys one passage's law of the same flow and
        slope there; what that does not take, the relief does.
        """
        network = self._network
        opens = self.at(np.where(self.reached, network.relief_opens[:, None], 0.0))
        excess = opens.imbalance.sum(axis=1)
        outwards = (self.reached @ self._incidence) ** 2
        slope = np.maximum((opens.slope * network.count * outwards).sum(axis=1), _hair(network))
        out = network.inflow - excess
        share = np.where(excess < 0, network.inflow / np.where(excess < 0, out, 1.0), 1.0)
        # Flow over slope: p for a viscous law, 2 p for an inertial one.
        p = network.relief_opens
        bend = np.clip(out / slope, p, 2 * p)
        below = share * ((2 * p - bend) + share * (bend - p))
        above = np.maximum(excess, 0.0) / (slope + network.relief_slope)
        return self.at(np.where(self.reached, (below + above)[:, None], 0.0))

    def improved(self, state: _State, active: Mask) -> _State:
        """One Newton step, halved for each case until it no longer shoots past; settled cases stay as they are.

        Imbalances are the slope of a convex energy: along the step they shrink, pass 0 at its lowest and grow again.
        """
        step = self._newton_step(state) * active[:, None]
        after = self.at(state.pressure + step)
        ahead, length = _along(state, step), np.ones(len(active))
        for _ in range(_HALVINGS):
            too_long = -_along(after, step) > _OVERSHOOT * ahead
            if not too_long.any():
                break
            length[too_long] *= 0.5
            after = self.at(state.pressure + length[:, None] * step)
        return after

    def _newton_step(self, state: _State) -> Array:
        network, nodes = self._network, self._network.nodes
        # Where nothing flows, a way without any viscous part would have a slope without end.
        slope = np.minimum(state.slope, network.scale[:, None] / _STILL) * network.count
        jacobian = slope @ self._stamps
        jacobian[:, :: nodes + 1] += self._ground
        jacobian[:, network.source * (nodes + 1)] += state.rise
        square = jacobian.reshape(-1, nodes, nodes)
        return np.asarray(np.linalg.solve(square, state.imbalance[:, :, None])[:, :, 0], dtype=float)


def _hair(network: Network) -> Array:
    """A hair of slope to the outside keeps a closed circuit solvable; the residual still decides: [C]."""
    return np.asarray(1e-12 * network.scale / 1e5)


def _along(state: _State, step: Array) -> Array:
    """What the imbalances would still do along a step: [C]."""
    work: Array = (state.imbalance * step).sum(axis=1)
    return work
