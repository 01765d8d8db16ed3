"""How an oil is classed: SAE viscosity grades and the viscosity index."""

from typing import NamedTuple

import numpy as np

from upfeed.physics.oil import MM2
from upfeed.physics.resistance import Array, Numbers


class HotGrade(NamedTuple):
    """A grade without W: kinematic viscosity at 100 C from `least` to below `below`, m2/s.

    `high_shear`: least viscosity at 150 C and high shear, Pa s.
    """

    grade: str
    least: float
    below: float
    high_shear: float


# SAE J300 (January 2015). Grade 40 asks 3.5 mPa s with 0W, 5W and 10W, 3.7 with 15W, 20W, 25W and alone.
HOT_GRADES = (
    HotGrade("8", 4.0e-6, 6.1e-6, 1.7e-3),
    HotGrade("12", 5.0e-6, 7.1e-6, 2.0e-3),
    HotGrade("16", 6.1e-6, 8.2e-6, 2.3e-3),
    HotGrade("20", 6.9e-6, 9.3e-6, 2.6e-3),
    HotGrade("30", 9.3e-6, 12.5e-6, 2.9e-3),
    HotGrade("40", 12.5e-6, 16.3e-6, 3.5e-3),
    HotGrade("50", 16.3e-6, 21.9e-6, 3.7e-3),
    HotGrade("60", 21.9e-6, 26.1e-6, 3.7e-3),
)
# A viscosity worked out to the bound of a grade must not fall short of it by a last binary digit.
PLACES = 12
HEAVY_40_HIGH_SHEAR = 3.7e-3  # Pa s
# SAE J300 (January 2015): least kinematic viscosity at 100 C of the W grades, m2/s.
WINTER_LEAST = {"0W": 3.8e-6, "5W": 3.8e-6, "10W": 4.1e-6, "15W": 5.6e-6, "20W": 5.6e-6, "25W": 9.3e-6}

# ASTM D2270: L = a Y² + b Y + c and H = d Y² + e Y + f, Y the viscosity at 100 C in cSt, from each bound up.
_BOUNDS = np.array([2.0, 3.8, 4.4, 5.0, 6.4, 7.0, 7.7, 9.0, 12.0, 15.0, 18.0, 22.0, 28.0, 40.0, 55.0, 70.0])
_L_AND_H = np.array(
    [
        (1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
        (3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
        (2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
        (0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557),
        (3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
        (0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610),
        (0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
        (0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
        (0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
        (0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
        (0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730),
        (0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
        (0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
        (0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
        (0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940),
        (0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
    ]
)


def grades_of(viscosity_100: float) -> tuple[str, ...]:
    """Grades without W that a kinematic viscosity at 100 C, m2/s, falls in; the thin ones overlap.

    Source: SAE J300 (2015). None of them below 4.0 or from 26.1 cSt: an empty tuple.
    Example: 10.5 cSt: ("30",); 7.0 cSt: ("12", "16", "20").
    """
    viscosity = round(viscosity_100, PLACES)
    return tuple(hot.grade for hot in HOT_GRADES if hot.least <= viscosity < hot.below)


def viscosity_index(viscosity_40: Numbers, viscosity_100: Numbers) -> Array:
    """Viscosity index, 1, from kinematic viscosities at 40 and 100 C, m2/s; not rounded.

    ``VI = 100 (L - U)/(L - H)`` up to 100, above ``(10^N - 1)/0.00715 + 100``, N = log(H/U)/log Y.
    Source: ASTM D2270 with its computing equations for L and H. ValueError below its 2 cSt at 100 C.
    Example: 73.3 and 8.86 cSt: 92.
    """
    u, y = np.asarray(viscosity_40, dtype=float) / MM2, np.asarray(viscosity_100, dtype=float) / MM2
    if np.any(y < _BOUNDS[0]):
        raise ValueError(f"found {np.min(y):.4g} cSt at 100 C; the viscosity index begins at 2 cSt")
    a, b, c, d, e, f = np.moveaxis(_L_AND_H[np.searchsorted(_BOUNDS, y, side="right") - 1], -1, 0)
    low, high = a * y**2 + b * y + c, d * y**2 + e * y + f
    above = (10 ** (np.log(high / u) / np.log(y)) - 1) / 0.00715 + 100
    index: Array = np.where(u >= high, 100 * (low - u) / (low - high), above)
    return index
