"""Node pressures and branch flows of many oil circuits of one topology at once.

Knows arrays only. The leading axis C is the case, N the nodes, E the branches, K the weighted states a branch
takes over one turn of the camshaft. Every flow rises with the pressure across it, so the solution is unique.
"""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from upfeed.physics.branch import flow_through_pair
from upfeed.physics.resistance import Array, Resistance, conductance, flow
from upfeed.physics.sideflow import side_flow
from upfeed.physics.supply import spring_valve

Mask = NDArray[np.bool_]
Numbers = NDArray[np.int_]

OUTSIDE = -1
"""Node number of the open space, at zero gauge pressure."""

TOLERANCE = 1e-9
"""Largest accepted mass-balance residual, as a share of pump displacement times top speed."""

_AIM = 1e-12
_STEPS = 80
_HALVINGS = 40
# How far past the balance a step may shoot, as a share of the way to it.
_OVERSHOOT = 0.5
# Pressure, Pa, so small that the pump's top flow over it is slope without end; no real passage comes near.
_STILL = 1e-4


class Network(Struct, frozen=True):
    """A circuit as arrays, all SI.

    tail, head: [E] node numbers. count: [C, E] equal branches side by side. weight: [C, E, K], summing to 1.
    series: [C, E, K]. paired: [P] numbers of the branches that hold two ways in parallel, those being first and
    second: [C, P, K]. drawn: [C, E] in m3/s, what a journal's turning draws through one of the branch, 0 for none.
    bypass_opens [Pa] and bypass_slope [m3/s/Pa]: [C, E], a spring-loaded way beside one of the branch, infinite for
    none. mu [Pa s], rho [kg/m3], inflow [m3/s] into node `source`, relief_opens [Pa],
    relief_slope [m3/s/Pa], scale [m3/s]: [C].
    """

    nodes: int
    tail: Numbers
    head: Numbers
    count: Array
    weight: Array
    series: Resistance
    paired: Numbers
    first: Resistance
    second: Resistance
    drawn: Array
    bypass_opens: Array
    bypass_slope: Array
    mu: Array
    rho: Array
    source: int
    inflow: Array
    relief_opens: Array
    relief_slope: Array
    scale: Array


PER_BRANCH = ("count", "weight", "drawn", "bypass_opens", "bypass_slope")
"""Arrays of a network, laws apart, whose second axis is the branch."""

PER_CASE = (*PER_BRANCH, "mu", "rho", "inflow", "relief_opens", "relief_slope", "scale")
"""Arrays of a network, laws apart, whose leading axis is the case."""


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
    pressure: Array
    flow: Array
    slope: Array
    imbalance: Array
    relief: Array


def solve(network: Network, start: Array | None = None) -> Solution:
    """Solve every case by damped Newton steps; a case that fails is reported alone, by `converged`.

    `start`: pressures [C, N], Pa, to begin at, where a near solution is known.
    """
    incidence = _incidence(network)
    reached = reached_nodes(network)
    begin = _start(network, reached) if start is None else np.where(reached, start, 0.0)
    state = _state(network, incidence, reached, begin)
    residual = _worst(network, state)
    settled = residual <= _AIM
    for _ in range(_STEPS):
        if settled.all():
            break
        state = _improve(network, incidence, reached, state, ~settled)
        before, residual = residual, _worst(network, state)
        # Good enough and no better for another step: what is left is rounding.
        settled |= (residual <= _AIM) | ((residual <= TOLERANCE) & (residual > before / 2))
    return Solution(state.pressure, reached, state.flow, state.relief, residual, residual <= TOLERANCE)


def _incidence(network: Network) -> Array:
    """+1 where a branch leaves a node, -1 where it enters: [N, E]."""
    matrix = np.zeros((network.nodes, len(network.tail)))
    branches = np.arange(len(network.tail))
    for ends, sign in ((network.tail, 1.0), (network.head, -1.0)):
        inside = ends != OUTSIDE
        np.add.at(matrix, (ends[inside], branches[inside]), sign)
    return matrix


def reached_nodes(network: Network) -> Mask:
    """Nodes that oil can get to from the source through branches that are open at some time: [C, N]."""
    is_open = _open_branches(network)
    reached = np.zeros((len(network.mu), network.nodes), dtype=bool)
    reached[:, network.source] = True
    inner = [e for e in range(len(network.tail)) if OUTSIDE not in (network.tail[e], network.head[e])]
    for _ in range(network.nodes):
        for e in inner:
            tail, head = network.tail[e], network.head[e]
            joined = is_open[:, e] & (reached[:, tail] | reached[:, head])
            reached[:, tail] |= joined
            reached[:, head] |= joined
    return reached


def _open_branches(network: Network) -> Mask:
    is_open = np.isfinite(network.series.a) & (network.weight > 0)
    either = np.isfinite(network.first.a) | np.isfinite(network.second.a)
    is_open[:, network.paired] &= either
    bypass = np.isfinite(network.bypass_opens) & (network.bypass_slope > 0)
    shown: Mask = (is_open.any(axis=2) | bypass) & (network.count > 0)
    return shown


def _start(network: Network, reached: Mask) -> Array:
    """The relief's opening pressure everywhere: the relief then always has a slope to steer by."""
    return np.where(reached, np.maximum(network.relief_opens, 1e3)[:, None], 0.0)


def _state(network: Network, incidence: Array, reached: Mask, pressure: Array) -> _State:
    through, slope = branch_flows(network, pressure @ incidence)
    relief, _ = spring_valve(pressure[:, network.source], network.relief_opens, network.relief_slope)
    imbalance = -(through * network.count) @ incidence.T
    imbalance[:, network.source] += network.inflow - relief
    return _State(pressure, through, slope, np.where(reached, imbalance, 0.0), relief)


def branch_flows(network: Network, drop: Array) -> tuple[Array, Array]:
    """Flow of one of each branch, m3/s, at a drop of pressure, Pa, and the flow's derivative: [C, E] each.

    The mean over the turn, then what a turning journal draws with it, then what passes beside it.
    """
    mu, rho = network.mu[:, None, None], network.rho[:, None, None]
    across = np.broadcast_to(drop[:, :, None], network.weight.shape)
    through = flow(across, network.series, mu, rho)
    slope = conductance(across, network.series, mu, rho)
    if len(network.paired):
        chosen = Resistance(network.series.a[:, network.paired], network.series.b[:, network.paired])
        pair = flow_through_pair(across[:, network.paired], chosen, network.first, network.second, mu, rho)
        through[:, network.paired], slope[:, network.paired] = pair
    mean, steepness = (through * network.weight).sum(axis=2), (slope * network.weight).sum(axis=2)
    mean, steepness = side_flow(mean, steepness, network.drawn)
    beside, rise = spring_valve(drop, network.bypass_opens, network.bypass_slope)
    return mean + beside, steepness + rise


def _worst(network: Network, state: _State) -> Array:
    shares: Array = np.abs(state.imbalance).max(axis=1) / network.scale
    return shares


def _improve(network: Network, incidence: Array, reached: Mask, state: _State, active: Mask) -> _State:
    """One Newton step, halved for each case until it no longer shoots past; settled cases stay as they are.

    Imbalances are the slope of a convex energy: along the step they shrink, pass 0 at its lowest and grow again.
    """
    step = np.where(active[:, None], _newton_step(network, incidence, reached, state), 0.0)
    length = np.ones(len(active))
    ahead = _along(state, step)
    for _ in range(_HALVINGS):
        after = _state(network, incidence, reached, state.pressure + length[:, None] * step)
        too_long = active & (-_along(after, step) > _OVERSHOOT * ahead)
        if not too_long.any():
            break
        length[too_long] *= 0.5
    return after


def _along(state: _State, step: Array) -> Array:
    """What the imbalances would still do along a step: [C]."""
    work: Array = (state.imbalance * step).sum(axis=1)
    return work


def _newton_step(network: Network, incidence: Array, reached: Mask, state: _State) -> Array:
    # Where nothing flows, a way without any viscous part would have a slope without end.
    slope = np.minimum(state.slope, network.scale[:, None] / _STILL)
    jacobian = np.einsum("ne,ce,me->cnm", incidence, slope * network.count, incidence)
    opened = state.pressure[:, network.source] >= network.relief_opens
    jacobian[:, network.source, network.source] += np.where(opened, network.relief_slope, 0.0)
    jacobian = np.where(reached[:, :, None] & reached[:, None, :], jacobian, 0.0)
    nodes = np.arange(network.nodes)
    # A hair of slope to the outside keeps a closed circuit solvable; the residual still decides.
    jacobian[:, nodes, nodes] += np.where(reached, 1e-12 * network.scale[:, None] / 1e5, 1.0)
    return np.asarray(np.linalg.solve(jacobian, state.imbalance[:, :, None])[:, :, 0], dtype=float)
