"""Preload in a warm engine: block and head part cam and rocker as they grow, pushrod and lifter follow."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType

import numpy as np

from upfeed.physics.resistance import Array, Numbers

# Linear expansion, 1/K, about 20-100 C, from memory of engineering handbooks: grey iron 10.5-11.5e-6, cast
# aluminium with silicon 20-22e-6, plain carbon steel 11.5-12e-6.
EXPANSION: Mapping[str, float] = MappingProxyType(
    {"grey_iron": 11.0e-6, "aluminium_alloy": 21.0e-6, "steel": 11.7e-6}
)


def growth(expansion: Numbers, length: Numbers, warm: Numbers, cold: Numbers) -> Array:
    """Growth, m, of a part on its way from the temperature `cold` to `warm`, K.

    ``alpha L (T - T_cold)``, `expansion` alpha in 1/K, `length` L in m; all arrays broadcast.
    Source: linear thermal expansion. Example: 200 mm of steel from 20 to 100 C: 0.1872 mm.
    """
    grown: Array = np.multiply(expansion, length) * np.subtract(warm, cold)
    return grown


def hot_preload(preload: Numbers, parting: Iterable[Array], following: Iterable[Array]) -> Array:
    """Preload, m, left in the warm engine; below zero it is lash.

    ``preload - sum(parting) + sum(following)``: `parting` the growth, m, of what carries the rocker away from
    the cam (block, head), `following` of what stands between them (pushrod, lifter); arrays broadcast.
    Left out: gasket, rocker and valve, some hundredths of a millimetre together (estimate).
    Example: iron block 230 mm at 95 C, aluminium head 120 mm at 105 C, steel pushrod 200 mm at 100 C and
    lifter 45 mm at 95 C, set at 20 C: 0.18975 + 0.2142 - 0.1872 - 0.0395 = 0.1773 mm less preload.
    """
    left = np.asarray(preload, dtype=float)
    for grown in parting:
        left = left - grown
    for grown in following:
        left = left + grown
    return left
