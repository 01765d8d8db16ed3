"""How long oil takes to fill an empty space, given its flow while the front moves on."""

from collections.abc import Sequence
from functools import cache

import numpy as np

from upfeed.physics.resistance import Array, Numbers, per

FINE, COARSE = 3, 1
"""Places of the front in a bore: fine, within a thousandth; coarse, for many draws, within some hundredths."""


def fronts(count: int) -> tuple[float, ...]:
    """Shares of the way, 0-1, at which the front is looked at in `count` places."""
    return _gauss(count)[0]


def time_to_fill(volume: Numbers, flows: Sequence[Numbers]) -> Array:
    """Time, s, in which a volume, m3, is filled by the flows, m3/s, that enter with the front at each of `fronts`.

    ``t = integral of dV/Q(V)``, by Gauss and Legendre: with three places exact where 1/Q rises evenly along the way, as
    in a bore filled slowly at one pressure, else within a thousandth; one is enough where the flow stays the same. A
    volume of 0 takes no time; one that nothing flows into takes for ever (infinite). More flow at every place never
    takes longer: every weight is above zero.
    Source: own derivation from mass balance; the air ahead, some 500 times thinner than hot oil, is left out.
    Example: 1 L at 20 mL/s: 50 s.
    """
    weights = _gauss(len(flows))[1]
    slowness = sum(weight * per(1.0, flow) for weight, flow in zip(weights, flows, strict=True))
    volume = np.asarray(volume, dtype=float)
    empty = volume > 0
    time: Array = np.where(empty, volume * np.where(empty, slowness, 0.0), 0.0)
    return time


@cache
def _gauss(count: int) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Places in 0-1 and their weights."""
    places, weights = np.polynomial.legendre.leggauss(count)
    return tuple(((places + 1) / 2).tolist()), tuple((weights / 2).tolist())
