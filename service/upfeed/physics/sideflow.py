"""What a turning journal draws through its bearing, beside what pressure drives through it."""

import numpy as np

from upfeed.physics.resistance import Array, Numbers

# Interplay of both flows, Q = Qp + Qh - 0.3 sqrt(Qp Qh): fitted to solved films (Martin and Lee 1983, from memory).
INTERPLAY = 0.3
# Pressure-fed share of the drawn flow at which the sum is least; below it the formula would rise again.
STARVED = (INTERPLAY / 2) ** 2
# What the sum is there, as a share of the drawn flow.
LEAST = 1 - STARVED


def drawn_flow(
    journal: Numbers, clearance: Numbers, land: Numbers, eccentricity: Numbers, speed: Numbers
) -> Array:
    """Oil, m3/s, that the turning of a journal draws out of a bearing's feed: ``Qh = U c L e``.

    U the speed of the surface, c the radial clearance, L both lands. `journal` diameter, diametral `clearance`
    and one `land` in m, as in `groove`; `eccentricity` 0-1; `speed` of the journal, rad/s, either way round.
    Range: laminar film, fed at its wide side. Source: film that closes from c (1 + e) to c (1 - e) under half the
    surface's speed (from memory of bearing handbooks).
    Example: 60 mm, 0.06 mm, two lands of 8 mm, e 0.6, 70 rad/s: 2.1 * 3e-5 * 0.016 * 0.6 = 6.05e-7 m3/s.
    """
    surface = np.abs(speed) * np.asarray(journal) / 2
    drawn: Array = surface * np.maximum(clearance, 0.0) / 2 * 2 * np.asarray(land) * np.asarray(eccentricity)
    return drawn


def side_flow(fed: Numbers, slope: Numbers, drawn: Numbers) -> tuple[Array, Array]:
    """Flow, m3/s, out of a turning bearing and its derivative, m3/(s Pa).

    ``Q = Qp + Qh - 0.3 sqrt(Qp Qh)``. `fed` Qp, m3/s, is what the bearing's resistance passes at the pressure
    over it, `slope` its derivative; `drawn` Qh as by `drawn_flow`; all broadcast. Below Qp = 0.0225 Qh, where the
    formula would rise again as pressure falls, the bearing runs starved: the flow goes straight down to 0, for a
    gallery without pressure gives nothing (an assumption). So it never falls as pressure rises. Backwards
    (Qp < 0), or with nothing drawn, it is Qp alone.
    Source: Martin and Lee 1983 (from memory). Example: Qp 4, Qh 1: 4 + 1 - 0.3 * 2 = 4.4; slope 0.925 of Qp's.
    """
    fed = np.asarray(fed, dtype=float)
    pull = drawn * (fed > 0)
    least = STARVED * pull
    # Starved, the ratio of the flows stays what it is at the least.
    root = np.sqrt(pull / np.maximum(np.maximum(fed, least), np.finfo(float).tiny))
    ratio = 1 + root * (root - INTERPLAY)
    steepness = np.where(fed < least, ratio, np.maximum(1 - INTERPLAY / 2 * root, 0.0))
    return fed * ratio, slope * steepness
