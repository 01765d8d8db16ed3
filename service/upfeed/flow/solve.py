"""Node pressures and branch flows of many oil circuits of one topology at once.

Every flow rises with the pressure across it, so the solution is unique.
"""

import numpy as np
from msgspec import Struct

from upfeed.flow.balance import Balance, State, balance
from upfeed.flow.network import Mask, Network
from upfeed.physics.resistance import Array

TOLERANCE = 1e-9
"""Largest accepted mass-balance residual, as a share of pump displacement times top speed."""

_AIM = 1e-12
_STEPS = 80
# Steps at the end that are taken with more care, by cases that are as late as this because rounding leads them astray.
_CAREFUL = 50
_SHORTENINGS = 40
# How far past the balance a step may shoot, as a share of the way to it.
_OVERSHOOT = 0.5
# Bounds of a shortened step, as shares of what it was.
_SHORTEST, _LONGEST = 0.2, 0.75
# Drop over a branch between two nodes to begin with, as a share of the relief's opening pressure, and the least, Pa,
# that is taken for that pressure. Any would do; these need fewest steps on the demo's engines.
_BETWEEN = 1e-3
_LEAST = 1e3


class Solution(Struct, frozen=True):
    """Every case's pressures and flows.

    pressure [C, N] in Pa (0 where not reached), reached [C, N], flow [C, E] in m3/s of one of each branch,
    drop [C, E] in Pa over it, which may be less than the pressures' last digit, relief [C] in m3/s, residual [C] as a
    share of scale, converged [C].
    """

    pressure: Array
    reached: Mask
    flow: Array
    drop: Array
    relief: Array
    residual: Array
    converged: Mask


def solve(network: Network, start: Array | None = None) -> Solution:
    """Solve every case by damped Newton steps; a case that fails is reported alone, by `converged`.

    `start`: pressures [C, N], Pa, to begin at, where a near solution is known.
    """
    of = balance(network)
    begin = _near(of) if start is None else start
    pressure = np.where(of.reached, begin, 0.0)
    state = _settled(of, of.at(pressure, np.zeros_like(pressure)), _STEPS)
    residual = of.residual(state)
    return Solution(
        pressure=state.pressure,
        reached=of.reached,
        flow=state.flow,
        drop=state.drop,
        relief=state.relief,
        residual=residual,
        converged=residual <= TOLERANCE,
    )


def _near(of: Balance) -> Array:
    """Pressures to begin at, Pa: [C, N].

    Shared out among the nodes as if every branch were viscous, letting by what it does at the relief's opening; so
    high at the pump that as much goes out as comes in, were all that goes out one passage of that flow and slope.
    """
    opens = np.maximum(of.relief_opens, _LEAST)
    outwards = of.reached @ of.joins
    drop = opens[:, None] * np.where(outwards == 0, _BETWEEN, outwards)
    flow, slope = of.throughput.at(drop)
    shared = np.zeros((*of.reached.shape, 1))
    shared[:, of.source] = 1.0
    shared = np.linalg.solve(of.jacobian(flow / drop, np.zeros_like(opens)), shared)[:, :, 0]
    passes = opens / shared[:, of.source]
    # Flow over slope and pressure, all outward branches together: 1 for a viscous law, 2 for an inertial one.
    out = of.count * drop * outwards**2
    bend = np.vecdot(out, flow) / np.maximum(np.vecdot(out, drop * slope), np.finfo(float).tiny)
    bend = np.minimum(np.maximum(bend, 1.0), 2.0)
    share = np.minimum(of.inflow / passes, 1.0)
    below = opens * share * (2 - bend + share * (bend - 1))
    above = np.maximum(of.inflow - passes, 0.0) / (passes / (bend * opens) + of.relief_slope)
    return np.asarray(shared * ((below + above) * passes / opens)[:, None])


def _settled(of: Balance, state: State, steps: int) -> State:
    """The state after so many steps at most. Cases that are late go on without the others."""
    residual = of.residual(state)
    settled = residual <= _AIM
    for step in range(steps):
        if settled.all():
            break
        if 2 * np.count_nonzero(settled) >= len(settled):
            late = ~settled
            state.put(late, _settled(of.some(late), state.some(late), steps - step))
            break
        state = _improved(of, state, ~settled, careful=steps - step <= _CAREFUL)
        before, residual = residual, of.residual(state)
        # Good enough and no better for another step: what is left is rounding.
        settled |= (residual <= _AIM) | ((residual <= TOLERANCE) & (residual > before / 2))
    return state


def _improved(of: Balance, state: State, active: Mask, careful: bool) -> State:
    """The state one Newton step of the active cases further."""
    step = of.careful_step(state) if careful else of.step(state)
    return _stepped(of, state, np.asarray(step * active[:, None]), _SHORTENINGS)


def _stepped(of: Balance, state: State, step: Array, tries: int) -> State:
    """The state a step further; in cases in which it shoots past, a part of the step.

    Imbalances are the slope of a convex energy: along the step they shrink, pass 0 at its lowest and grow again.
    """
    after = of.beyond(state, step)
    past = -_along(after, step)
    far = past > _OVERSHOOT * _along(state, step)
    if tries and far.any():
        some, part = of.some(far), step[far]
        # Back by a Newton step along the line: past a corner it comes to rest beyond it, not before.
        back = past[far] / np.maximum(some.steepness(after.some(far), part), past[far])
        part = part * np.clip(1 - back, _SHORTEST, _LONGEST)[:, None]
        after.put(far, _stepped(some, state.some(far), part, tries - 1))
    return after


def _along(state: State, step: Array) -> Array:
    """What the imbalances would still do along a step: [C]."""
    return np.asarray(np.vecdot(state.imbalance, step))
