"""Leaks round a shaft: fits, and the grooves of plain bearings."""

import numpy as np

from upfeed.physics.films import edges, film
from upfeed.physics.resistance import Array, Numbers, Resistance, in_series


def fit(bore: Numbers, shaft: Numbers, length: Numbers, eccentricity: Numbers) -> Resistance:
    """Resistance of the clearance between a shaft and its bore, along the shaft.

    ``a = 12 L/(pi d c³ (1 + 1.5 e²))`` and its `edges`, c the radial clearance, d the mean diameter.
    Arguments: diameters `bore` and `shaft` and `length` L in m; `eccentricity` e, 0 centred, 1 touching.
    Range: laminar, c far below d; without clearance there is no way, without length the edges still resist.
    Source: plane Poiseuille flow round an eccentric film (textbook annulus).
    Example: bore 21.42 mm, shaft 21.38 mm, L = 10 mm, e = 0: a = 2.231e14 + 3.8e11 = 2.235e14 1/m3.
    """
    clearance, around = ring(bore, shaft)
    return in_series(
        edges(around, clearance), film(length, around * (1 + 1.5 * np.square(eccentricity)), clearance)
    )


def groove(
    journal: Numbers,
    clearance: Numbers,
    land: Numbers,
    eccentricity: Numbers,
    arc_from: Numbers,
    arc_to: Numbers,
) -> Resistance:
    """Resistance of a plain bearing fed by a groove round part or all of it, out over both its lands.

    ``a = 6 l/(r c³ I)`` and the `edges`, ``I = integral of (1 + e cos t)³ dt`` over the arc: a full groove
    has I = 2 pi (1 + 1.5 e²). Pressure-fed flow only: what rotation draws through is left out.
    Arguments: `journal` diameter and diametral `clearance` (2 c) in m; `land` l, the width of one land, m;
    `eccentricity` e 0-1; `arc_from` and `arc_to`, rad, from the widest film, in either order.
    Range: laminar, c far below r.
    Source: plane Poiseuille flow; a full groove is the textbook pi p r c³ (1 + 1.5 e²)/(3 mu l).
    Example: 50 mm, 0.05 mm, l 10 mm, e 0, 0 to 2 pi: a = 0.06/(0.025 * 1.5625e-14 * 2 pi) = 2.445e13, with
    the edges 2.450e13 1/m3.
    """
    height = np.maximum(clearance, 0.0) / 2
    arc = np.abs(np.subtract(arc_to, arc_from))
    widened = np.abs(_cubed_film(arc_to, eccentricity) - _cubed_film(arc_from, eccentricity))
    return in_series(edges(journal * arc, height), film(land, journal * widened, height))


def ring(bore: Numbers, shaft: Numbers) -> tuple[Array, Array]:
    """Radial clearance, m (0 where the shaft is the larger), and mean circumference, m, of a fit."""
    clearance: Array = np.maximum(np.subtract(bore, shaft), 0.0) / 2
    around: Array = np.pi * np.add(bore, shaft) / 2
    return clearance, around


def _cubed_film(angle: Numbers, eccentricity: Numbers) -> Array:
    """Antiderivative of (1 + e cos t)³."""
    t, e = np.asarray(angle, dtype=float), np.asarray(eccentricity, dtype=float)
    sine = np.sin(t)
    cubed: Array = t + 3 * e * sine + 1.5 * e**2 * (t + sine * np.cos(t)) + e**3 * (sine - sine**3 / 3)
    return cubed
