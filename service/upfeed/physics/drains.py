"""Drain holes from the rocker cover down: what they pass at a depth, and the depth they need."""

import numpy as np

from upfeed.physics.holes import hole
from upfeed.physics.resistance import Array, Numbers, flow

GRAVITY = 9.80665  # m/s2, standard acceleration (CGPM 1901)


def drain_flow(
    depth: Numbers, diameter: Numbers, length: Numbers, back_pressure: Numbers, mu: Numbers, rho: Numbers
) -> Array:
    """Oil, m3/s, that one drain passes with oil standing `depth` over its mouth, no gas rising in it.

    The lesser of a weir over its rim, ``pi d sqrt(g) (2h/3)^1.5``, and the `hole` running full under
    ``rho g (h + L) - p``. `depth` h, `diameter` d, `length` L in m, L upright; `back_pressure` p in Pa, crankcase over
    rocker cover; `mu` in Pa s, `rho` in kg/m3.
    Range: round, sharp-edged, upright. A slanting drain has less head, a countersunk one a longer rim.
    Source: critical depth at a broad crest (textbook); for the hole see `hole`.
    Example: h = 2 mm over a 40 mm drain, 20 mm long: the weir, 1.705 * 8.944e-5 * 0.12566 = 1.916e-5 m3/s.
    """
    deep = np.maximum(depth, 0.0)
    rim = np.pi * np.asarray(diameter) * np.sqrt(GRAVITY) * (2 * deep / 3) ** 1.5
    head = np.maximum(rho * GRAVITY * (deep + length) - back_pressure, 0.0)
    passed: Array = np.minimum(rim, flow(head, hole(diameter, length), mu, rho))
    return passed


def depth_for(
    oil: Numbers, diameter: Numbers, length: Numbers, back_pressure: Numbers, mu: Numbers, rho: Numbers
) -> Array:
    """Depth, m, over the mouth of one drain at which it passes `oil`, m3/s: the inverse of `drain_flow`.

    ``h = max((3/2) (Q/(pi d sqrt g))^(2/3), (p + a mu Q + b rho Q²)/(rho g) - L)``; other arguments as there.
    Range and source as there. Infinite oil: infinite. Example: 1.916e-5 m3/s down that 40 mm drain: 2.000 mm.
    """
    oil = np.asarray(oil, dtype=float)
    rim = 1.5 * (oil / (np.pi * np.asarray(diameter) * np.sqrt(GRAVITY))) ** (2 / 3)
    a, b = hole(diameter, length)
    full = (back_pressure + a * mu * oil + b * rho * oil**2) / (rho * GRAVITY) - length
    depth: Array = np.maximum(rim, np.where(oil > 0, full, 0.0))
    return depth
