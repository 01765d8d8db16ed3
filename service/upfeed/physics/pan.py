"""Oil that is not in the pan: what clings to walls on its way down, and how long a level takes to change."""

from collections.abc import Callable

import numpy as np

from upfeed.physics.drains import GRAVITY
from upfeed.physics.resistance import Array, Numbers

# Abscissae and weights on 0 to 1; 64 bring the textbook's draining tank to 1e-12.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)
_NODES, _WEIGHTS = (_NODES + 1) / 2, _WEIGHTS / 2


def wall_oil(oil: Numbers, width: Numbers, height: Numbers, nu: Numbers) -> Array:
    """Volume, m3, of oil running down a wall: ``(3 nu q/g)^(1/3) w H``, q = Q/w.

    `oil` Q in m3/s; `width` w and `height` H of the wall, m; `nu` kinematic viscosity, m2/s.
    Range: smooth upright wall, no wind on it. In an engine good to a factor of two: oil also drips, is flung and lies
    on ledges. Source: Nusselt 1916.
    Example: 1e-4 m3/s, 1 m wide, 1 m high, 1 cSt: 3.127e-4 m3.
    """
    width = np.asarray(width, dtype=float)
    volume: Array = np.cbrt(3 * nu * oil / (GRAVITY * width)) * width * height
    return volume


def time_between_levels(
    inflow: Numbers, outflow: Callable[[Array], Array], area: Numbers, start: Numbers, end: Numbers
) -> Array:
    """Time, s, for oil of a surface `area`, m2, to go from depth `start` to `end`, m: ``∫ A dh/(Q_in - Q_out(h))``.

    `inflow` in m3/s; `outflow` gives m3/s at depths [..., K], one column a node of the integral. Infinite where the
    level never gets there: it stands still on the way or goes the other way.
    Range: `outflow` rising with depth. Source: mass balance, Gauss-Legendre rule of 64 points.
    Example: nothing flows in, 1e-4 m3/s out at any depth, 0.03 m2: 20 mm lower after 6 s.
    """
    inflow, area, start, end = (np.asarray(x, dtype=float) for x in (inflow, area, start, end))
    way = (end - start)[..., None]
    change = inflow[..., None] - outflow(start[..., None] + way * _NODES)
    arrives = np.asarray(inflow - outflow(end[..., None])[..., 0]) * way[..., 0] > 0
    moving = np.where(arrives[..., None], change, 1.0)
    time = np.sum(area[..., None] * way / moving * _WEIGHTS, axis=-1)
    reached: Array = np.where(arrives, time, np.where(way[..., 0] == 0, 0.0, np.inf))
    return reached
