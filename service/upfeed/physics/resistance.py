"""How a passage resists oil: a viscous and an inertial coefficient, inverted in closed form."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Numbers = float | Array

# Far below any real passage (a 10 mm hole in a plate at 1 mPa s: 2e4 Pa s/m3); keeps 0/0 out of `flow`.
LEAST_RESISTANCE = 1e-30


class Resistance(NamedTuple):
    """Coefficients of ``dp = a mu Q + b rho Q |Q|``.

    ``a`` in 1/m3 (dp over mu Q), ``b`` in 1/m4 (dp over rho Q²), arrays of one shape. ``a`` infinite: no way.
    """

    a: Array
    b: Array


class Ways(NamedTuple):
    """Two ways side by side between the same two points; they share the pressure, not the law."""

    first: Resistance
    second: Resistance


def resistance(a: Numbers, b: Numbers) -> Resistance:
    """Pair the coefficients; where either is infinite there is no way at all (``a`` infinite, ``b`` 0)."""
    a, b = np.broadcast_arrays(np.asarray(a, dtype=float), np.asarray(b, dtype=float))
    passable = np.isfinite(a) & np.isfinite(b)
    return Resistance(np.where(passable, a, np.inf), np.where(passable, b, 0.0))


def in_series(*resistances: Resistance) -> Resistance:
    """Add passages that the same oil goes through one after the other; exact for this law."""
    a, b = resistances[0]
    for further in resistances[1:]:
        a, b = a + further.a, b + further.b
    return resistance(a, b)


def through_two(
    highest: Numbers, little: Array, much: Array, span: float, mu: Numbers, rho: Numbers
) -> Resistance:
    """The passage that lets `much` by at `highest`, Pa, and `little` at a `span`-th of it, both m3/s.

    mu in Pa s, rho in kg/m3; all broadcast. Nothing at either: no way.
    Source: ``dp/Q = a mu + b rho Q`` through both points.
    Example: 4e-6 m3/s at 16e4 Pa, 0.5e-6 at 1e4 Pa, mu = 0.01, rho = 850: dp/Q is 4e10 and 2e10, so b = 6.723e12 and
    a = 1.714e12.
    """
    passes = (little > 0) & (much > little)
    low, high = np.where(passes, little, 1.0), np.where(passes, much, 2.0)
    # Rounding may turn a coefficient that is nought below it.
    b = np.maximum(highest / high - highest / span / low, 0.0) / (rho * (high - low))
    a = np.maximum(highest / span / low - b * rho * low, 0.0) / mu
    return resistance(np.where(passes, a, np.inf), b)


def shared(through: Resistance, share: Array) -> Resistance:
    """What lets a share (0 or more) of a passage's flow by, at every pressure: ``a/s, b/s²``; nothing: no way."""
    some = share > 0
    with np.errstate(over="ignore"):  # so small a share is as good as none
        a = np.divide(through.a, share, out=np.full(through.a.shape, np.inf), where=some)
        # Not by the square, which may be lost where the share is not.
        b = np.divide(through.b, share, out=np.zeros(through.b.shape), where=some)
        b = np.divide(b, share, out=b, where=some)
    return resistance(a, b)


class Passage(NamedTuple):
    """A resistance in one oil, as `flow` and `conductance` need it at every pressure.

    Half of ``a mu``, Pa s/m3; ``b rho``, Pa s²/m6; the square of the first.
    """

    viscous: Array
    inertial: Array
    square: Array

    def at(self, dp: Numbers) -> tuple[Array, Array]:
        """Flow, m3/s, and its derivative, m3/(s Pa), at a pressure difference, Pa."""
        root = np.sqrt(self.square + self.inertial * np.abs(dp))
        return dp / (self.viscous + root), 0.5 / root


def passage(through: Resistance, mu: Numbers, rho: Numbers) -> Passage:
    """Put a resistance in an oil: mu in Pa s, rho in kg/m3; all broadcast."""
    viscous = np.maximum(through.a * mu, LEAST_RESISTANCE) / 2
    with np.errstate(over="ignore"):  # so tight a passage that its square overflows is as good as shut
        square = viscous * viscous
    return Passage(viscous, through.b * rho, square)


def flow(dp: Numbers, through: Resistance, mu: Numbers, rho: Numbers) -> Array:
    """Oil flow Q, m3/s, at a pressure difference dp, Pa (negative: backwards).

    ``Q = 2 dp / (a mu + sqrt((a mu)² + 4 b rho |dp|))``, the root of the law written so that nothing cancels.
    mu in Pa s, rho in kg/m3; all arguments broadcast. No way: 0.
    Example: a = 2.4e10 1/m3, b = 0, mu = 0.0085 Pa s: 1e5 Pa drives 4.902e-4 m3/s.
    """
    return passage(through, mu, rho).at(dp)[0]


def conductance(dp: Numbers, through: Resistance, mu: Numbers, rho: Numbers) -> Array:
    """Derivative dQ/d(dp), m3/(s Pa), of `flow`: ``1 / sqrt((a mu)² + 4 b rho |dp|)``. No way: 0."""
    return passage(through, mu, rho).at(dp)[1]


def per(amount: Numbers, size: Numbers) -> Array:
    """Divide by a size of a passage; infinite, so no way, where nothing of that size is left (0 or less)."""
    size = np.asarray(size, dtype=float)
    left = size > 0
    with np.errstate(over="ignore"):  # a size lost to rounding is no size
        quotient: Array = np.where(left, amount / np.where(left, size, 1.0), np.inf)
    return quotient
