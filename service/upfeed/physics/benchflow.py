"""What calipers cannot measure: the size of a lifter's metering from the oil it lets by on a bench."""

from collections.abc import Callable

import numpy as np

from upfeed.physics.resistance import Array, Numbers, Resistance, flow

HALVINGS = 80
"""From 30 mm down to the last digit of a hundredth of a micrometre."""


def passes_alone(pressure: Numbers, rest: Resistance, mu: Numbers, rho: Numbers) -> Array:
    """Flow, m3/s, that the rest of a lifter would pass with no metering in it: more can't be measured.

    `pressure` in Pa over the whole lifter, `rest` the resistance of everything else in a row, `mu` in Pa s and
    `rho` in kg/m3 of the bench's oil.
    """
    return flow(pressure, rest, mu, rho)


def metering_size(
    caught: Numbers,
    pressure: Numbers,
    rest: Resistance,
    metering: Callable[[Array], Resistance],
    ends: tuple[float, float],
    mu: Numbers,
    rho: Numbers,
) -> Array:
    """The size, m or m2, of what meters as a lifter did on a bench.

    ``a mu Q + b rho Q² = dp - a_rest mu Q - b_rest rho Q²``: what the rest of the lifter leaves of the pressure is the
    metering's. `caught` Q in m3/s; `metering` gives the resistance of a size, less for a larger one; `ends` are the
    smallest and the largest size looked at, and what is found where even these let by too much or too little. The
    others as in `passes_alone`; all broadcast.
    Range: laminar; what meters alike at every angle of the cam. Source: the passages' own laws; bisection.
    Example: no rest, an `opening`, rho next to 0: 1e-6 m3/s at 1e5 Pa and 0.01 Pa s: d³ = 24 * 0.01 * 1e-6/1e5, so
    d = 0.1339 mm.
    """
    left = pressure - _drop(caught, rest, mu, rho)
    low, high = (np.broadcast_to(end, np.shape(left)).astype(float) for end in ends)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        too_tight = _drop(caught, metering(middle), mu, rho) > left
        low, high = np.where(too_tight, middle, low), np.where(too_tight, high, middle)
    size: Array = (low + high) / 2
    return size


def _drop(caught: Numbers, through: Resistance, mu: Numbers, rho: Numbers) -> Array:
    """Pressure, Pa, that a flow takes; infinite where there is no way for it."""
    shut = ~np.isfinite(through.a)
    lost = (np.where(shut, 0.0, through.a) * mu + through.b * rho * caught) * caught
    drop: Array = np.where(shut, np.inf, lost)
    return drop
