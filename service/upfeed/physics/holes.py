"""Drilled holes: from a thin plate to a long bore. How far they are off stands in `tests/reference/README.md`."""

import numpy as np

from upfeed.physics.resistance import Array, Numbers, Resistance, per, resistance

# Loss factor of a thin plate: within 14 % in discharge coefficient of Hollingshead's orifice (2011, beta 0.5)
# at hole Reynolds numbers 2-2000; above that a thin plate loses more (2.7) and passes up to 23 % less.
THIN_PLATE_LOSS = 1.6
# Loss factor of a long bore: speed head of the jet and making of laminar flow, 1 + 1.25 (Shah 1978, memory).
LONG_BORE_LOSS = 2.3
# Square of the L/d at which half the way from one to the other is gone; holds the short tubes of
# Lichtarowicz (1965, L/d 2-10, ideal-velocity Re 200-20,000) within 9 % in discharge coefficient.
HALF_WAY = 50.0
# Resistance of what is no passage at all, 1/m3: nothing beside any passage, and yet large enough for flows to balance.
JOINED = 1e4


def loss(diameter: Numbers, length: Numbers) -> Array:
    """Loss factor zeta, 1, of a sharp-edged hole: ``1.6 + 0.7 x²/(x² + 50)``, x = length/diameter (both m).

    Smooth and rising with x, so that a larger hole never passes less. Range: any x; hole Re to about 2000.
    Source: fitted to Hollingshead 2011 (thin plate) and Lichtarowicz 1965 (short tubes), see the constants.
    Example: x = 10: 1.6 + 0.7 * 100/150 = 2.0667.
    """
    long = np.maximum(length, 0.0) ** 2
    share = per(long, long + HALF_WAY * np.square(diameter))
    return THIN_PLATE_LOSS + (LONG_BORE_LOSS - THIN_PLATE_LOSS) * share


def hole(diameter: Numbers, length: Numbers) -> Resistance:
    """Resistance of a drilled hole.

    ``a = 24/d³ + 128 L/(pi d⁴)``, ``b = zeta/(2 A²)``, zeta by `loss`.
    Arguments: `diameter` d and `length` L in m, L down to 0. Range: laminar, hole Re to about 2000.
    Source: Sampson 1891; Dagan, Weinbaum and Pfeffer 1982; zeta see `loss`.
    Example: d = 1 mm, L = 1 mm: a = 2.4e10 + 4.0744e10 = 6.4744e10 1/m3.
    """
    a = per(24.0, np.power(diameter, 3)) + _friction(diameter, length)
    return resistance(a, _inertia(loss(diameter, length), diameter))


def bore(diameter: Numbers, length: Numbers) -> Resistance:
    """Resistance of a long bore: a pushrod, a gallery, a suction pipe.

    ``a = 128 L/(pi d⁴)``, ``b = 2.3/(2 A²)``.
    Arguments: `diameter` d and `length` L in m. Range: L/d from about 20, laminar (Re below 2000).
    Source: Hagen-Poiseuille; Shah 1978 for the ends (from memory).
    Example: d = 3 mm, L = 0.2 m: a = 25.6/(pi 8.1e-11) = 1.0060e11 1/m3.
    """
    return resistance(_friction(diameter, length), _inertia(LONG_BORE_LOSS, diameter))


def bore_volume(diameter: Numbers, length: Numbers) -> Array:
    """Oil, m3, that a bore of `diameter` and `length`, m, holds: ``pi/4 d² L``. Source: geometry.

    Example: 3 mm over 0.2 m: 1.4137e-6 m3.
    """
    volume: Array = np.pi / 4 * np.square(np.maximum(diameter, 0.0)) * np.maximum(length, 0.0)
    return volume


def opening(area: Numbers, length: Numbers) -> Resistance:
    """Resistance of a hole that is not round, as the round `hole` of the same area.

    Arguments: `area` in m2, `length` in m. Range: openings not much wider than high; a slit resists more.
    Source: equal-area circle, an assumption.
    Example: area = 0.7854 mm2, length 0: the 1 mm hole, a = 2.4e10 1/m3.
    """
    return hole(np.sqrt(4 * np.maximum(area, 0.0) / np.pi), length)


def shut() -> Resistance:
    """Resistance of no way at all: a infinite, b 0. By definition."""
    return resistance(np.inf, 0.0)


def clear() -> Resistance:
    """Resistance of nothing in the way, as where a plug is left out: a 0, b 0. By definition.

    Range: in a row with a passage that resists; by itself it would pass any amount at no pressure.
    """
    return resistance(0.0, 0.0)


def joined() -> Resistance:
    """Resistance between two places that nothing parts: far below any passage's, so that they hold one pressure.

    a = 1e4 1/m3, b = 0. By definition: as a hole of 13 cm (Sampson's 24/d³), some 1e-9 of what a lifter's way resists.
    Range: only beside engines in which something does part the two; where nothing does in any, they are one place.
    """
    return resistance(JOINED, 0.0)


def _friction(diameter: Numbers, length: Numbers) -> Array:
    return per(128 * np.maximum(length, 0.0), np.pi * np.power(np.maximum(diameter, 0.0), 4))


def _inertia(zeta: Numbers, diameter: Numbers) -> Array:
    area = np.pi * np.square(np.maximum(diameter, 0.0)) / 4
    return per(zeta, 2 * area**2)
