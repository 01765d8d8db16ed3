"""What a leak through a clearance is made of: the film along a land, and the edges at its ends."""

import numpy as np

from upfeed.physics.holes import THIN_PLATE_LOSS
from upfeed.physics.resistance import Array, Numbers, Resistance, per, resistance


def film(length: Numbers, breadth: Numbers, height: Numbers) -> Resistance:
    """Resistance of the film between two walls: ``a = 12 L/(B h³)``, b 0 (plane Poiseuille flow).

    `length` L along the flow, `breadth` B across it, `height` h from wall to wall, all m. No length: nothing.
    Example: L = 10 mm, B = 67.2 mm, h = 20 um: a = 0.12/(0.0672 * 8e-15) = 2.232e14 1/m3.
    """
    cube = np.asarray(height, dtype=float) ** 3
    a = np.where(np.asarray(length) > 0, per(12 * np.asarray(length, dtype=float), breadth * cube), 0.0)
    return resistance(a, 0.0)


def edges(breadth: Numbers, height: Numbers, open_area: Numbers = 0.0) -> Resistance:
    """Resistance of both ends of a film, beside whatever stands wide open there.

    ``1/a = pi B h²/32 + d³/24``, d the diameter of a circle of the open area; ``b = 1.6/(2 (B h + area)²)``.
    `breadth` B and `height` h in m, `open_area` in m2. Sums viscous conductances and areas, so that the law
    runs on without a step from open to shut.
    Source: slit in a thin plate, Hasimoto 1958 (from memory); hole in a thin plate, Sampson 1891.
    Example: B = 10 mm, h = 20 um, shut: 1/a = pi * 0.01 * 4e-10/32 = 3.927e-13 m3; a = 2.546e12 1/m3.
    """
    height = np.maximum(height, 0.0)
    slit = np.pi * np.asarray(breadth, dtype=float) * height**2 / 32
    round_part = np.sqrt(4 * np.maximum(open_area, 0.0) / np.pi) ** 3 / 24
    return resistance(
        per(1.0, slit + round_part), per(THIN_PLATE_LOSS, 2 * (breadth * height + open_area) ** 2)
    )


def beside(one: Resistance, other: Resistance) -> Resistance:
    """Two leaks side by side as one: viscous conductances and inertial areas added.

    Exact where both are viscous or both inertial, between the two an approximation: only for leaks, where
    the pair `Ways` would be of no use. Example: two equal leaks: a/2 and b/4.
    """
    conducts = per(1.0, one.a) + per(1.0, other.a)
    area = _inertial_area(one) + _inertial_area(other)
    return resistance(per(1.0, conducts), per(1.0, area**2))


def _inertial_area(leak: Resistance) -> Array:
    return np.where(np.isfinite(leak.a), 1 / np.sqrt(np.where(leak.b > 0, leak.b, 1.0)), 0.0)
