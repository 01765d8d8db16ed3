"""Where the oil comes from: what pump and pickup can deliver, the pump's slip, the filter and its bypass."""

import numpy as np

from upfeed.physics.holes import bore
from upfeed.physics.resistance import Array, Numbers, Resistance, flow, per, resistance

# Of the air's 100 kPa, what is left to push oil up the pickup: a pump cavitates below some 40 kPa absolute, and
# lift and strainer take their part (common practice, no source).
SUCTION = 60e3


def displaced(displacement: Numbers, drive_ratio: Numbers, speed: Numbers) -> Array:
    """Flow, m3/s, that a pump moves with nothing lost: ``D N``.

    `displacement` D for a whole turn of the pump, m3; `drive_ratio` turns of the pump for one of the crank;
    `speed` of the crank, rad/s. Source: by definition.
    Example: 12 mL, ratio 1, 1500 rpm (157.08 rad/s): 3e-4 m3/s, 18 L/min.
    """
    moved: Array = np.multiply(displacement, drive_ratio) * np.asarray(speed) / (2 * np.pi)
    return moved


def most_drawn(diameter: Numbers, length: Numbers, mu: Numbers, rho: Numbers) -> Array:
    """Most oil, m3/s, that the air can push up a pickup: the flow of a `bore` with 60 kPa across it.

    `diameter` and `length` of the pickup's way in m; `mu` in Pa s, `rho` in kg/m3.
    Range: laminar. Source: Hagen-Poiseuille; 60 kPa see `SUCTION`. A pump delivers the lesser of this and what it
    displaces; that it slips back before, a few millilitres in cold oil, is left out.
    Example: 14 mm, 176 mm, 3.5 Pa s, 880 kg/m3: 6e4/(1.867e8 * 3.5) = 9.18e-5, with the ends 9.13e-5 m3/s.
    """
    return flow(SUCTION, bore(diameter, length), mu, rho)


def slip(coefficient: Numbers) -> Resistance:
    """Resistance of the way back inside a pump, ``Q = k dp/mu``: ``a = 1/k``, b 0.

    `coefficient` k in m3; none: no way back. Source: narrow gaps (by definition of k).
    Example: k = 8.5714e-13 m3: a = 1.16667e12 1/m3.
    """
    return resistance(per(1.0, coefficient), 0.0)


def filter_element(rated_flow: Numbers, rated_drop: Numbers, rated_viscosity: Numbers) -> Resistance:
    """Resistance of a filter's element from one reading of it: ``a = dp/(mu Q)``, b 0.

    Arguments: `rated_flow` m3/s at the pressure `rated_drop`, Pa, with oil of `rated_viscosity`, Pa s. No flow: no
    way.
    Range: creeping flow through paper, that is any in a filter. Source: Darcy's law.
    Example: 10 L/min at 0.1 bar with 0.01 Pa s: a = 1e4/(0.01 * 1.6667e-4) = 6.0e9 1/m3.
    """
    drop = np.maximum(rated_drop, 0.0)
    return resistance(per(drop, np.maximum(rated_viscosity, 0.0) * np.maximum(rated_flow, 0.0)), 0.0)


def spring_valve(dp: Numbers, opens: Numbers, slope: Numbers) -> tuple[Array, Array]:
    """Flow, m3/s, past a spring-loaded valve and its derivative, m3/(s Pa): a relief, a filter's bypass.

    ``Q = slope max(dp - opens, 0)``: `dp` over the valve in Pa; `opens`, Pa, where it begins to open, infinite for no
    valve at all; `slope` in m3/s/Pa. It holds against flow backwards.
    Source: a spring-loaded valve opens linearly (assumption); a filter's bypass opens at 0.55-1 bar, a relief near
    60 psi (common practice, no source).
    Example: opens at 0.8 bar, 5e-9 m3/s/Pa, 1.2 bar over it: 2e-4 m3/s.
    """
    over = np.maximum(np.subtract(dp, opens), 0.0)
    return slope * over, np.where(over > 0, slope, 0.0)
