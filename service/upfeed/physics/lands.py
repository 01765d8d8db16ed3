"""A lifter in its bore: the window from the gallery to its band, the way round it, the leaks out of the ends."""

# ruff: noqa: PLR0913, PLR0917 -- a law takes what its passage is measured by

import numpy as np

from upfeed.physics.films import edges, film
from upfeed.physics.fits import ring
from upfeed.physics.geometry import circle_between
from upfeed.physics.leaks import Band, leak
from upfeed.physics.resistance import Numbers, Resistance, in_series, per, resistance


def window(
    foot: Numbers,
    band_from: Numbers,
    band_to: Numbers,
    gallery_height: Numbers,
    gallery_diameter: Numbers,
    bore: Numbers,
    shaft: Numbers,
) -> Resistance:
    """Resistance from the gallery into the band of a lifter, at every angle of the cam's turn.

    Open: the part of the gallery hole between the band's edges, beside the clearance along the hole's edge.
    Shut by a cover x: that edge and a land ``a = 12 x/((w + 2 x) c³)``, w the gallery diameter, c the radial
    clearance; no step between the two.
    Arguments, m: `foot`, height of the lifter's foot above the cam centre line over the turn; `band_from`
    and `band_to` above the foot; `gallery_height` of the hole's middle above the cam centre line and
    `gallery_diameter`; diameters `bore` and `shaft`.
    Range: laminar. Source: circle segment (geometry); plane Poiseuille flow, its spread to both sides an
    assumption; `edges`.
    Example: 1 mm cover, w = 10 mm, c = 20 um: land a = 0.012/(0.012 * 8e-15) = 1.25e14 1/m3.
    """
    clearance, _ = ring(bore, shaft)
    lower, upper = foot + band_from, foot + band_to
    cover = Band(lower, upper).cover(gallery_height, gallery_diameter)
    open_area = circle_between(gallery_diameter, lower - gallery_height, upper - gallery_height)
    return in_series(
        edges(gallery_diameter, clearance, open_area), film(cover, gallery_diameter + 2 * cover, clearance)
    )


def band(shaft: Numbers, band_from: Numbers, band_to: Numbers, depth: Numbers) -> Resistance:
    """Resistance from the gallery hole round a lifter to a feed hole on its far side, both ways at once.

    ``a = 12 (pi D/2)/(2 w t³ f)``, ``f = 1 - 0.630 t/w + 0.052 (t/w)^5`` for t up to w, else t and w swapped.
    Arguments, m: `shaft`, diameter D of the body; `band_from` and `band_to`, its edges above the foot, w apart;
    `depth` t of the groove below the body.
    Range: laminar, t far below D; a feed hole that faces the gallery has none of it. Source: laminar flow in a
    rectangular duct (textbook, within 0.1 % of the exact series); the half turn is the worst place of the hole.
    Example: D 20 mm, w 4 mm, t 0.5 mm: f = 0.92125, a = 0.37699/(2 * 0.004 * 1.25e-10 * f) = 4.092e11 1/m3.
    """
    width, deep = np.maximum(np.subtract(band_to, band_from), 0.0), np.maximum(depth, 0.0)
    wide, low = np.maximum(width, deep), np.minimum(width, deep)
    flatness = np.divide(low, np.where(wide > 0, wide, 1.0))
    passes = wide * low**3 * (1 - 0.630 * flatness + 0.052 * flatness**5)
    half_way_round = np.pi / 2 * np.maximum(shaft, 0.0)
    return resistance(per(12 * half_way_round, 2 * passes), 0.0)


def land_above(
    foot: Numbers,
    band_from: Numbers,
    band_to: Numbers,
    gallery_height: Numbers,
    gallery_diameter: Numbers,
    bore_top: Numbers,
    bore: Numbers,
    shaft: Numbers,
    eccentricity: Numbers,
) -> Resistance:
    """Resistance of the leak from the gallery up the lifter and out of the top of its bore.

    The band, fed as in `window`, leaks over the land round the body; the gallery hole over its own width
    where it is nearer to the end of the bore. A band that stands out of the bore is an open bleed, as wide as
    what the window still leaves open of the gallery.
    Arguments, m: as in `window` (`foot`, `band_from`, `band_to`, `gallery_height`, `gallery_diameter`,
    `bore`, `shaft`); `bore_top`, height of the bore's top edge above the cam centre line; `eccentricity` 0-1.
    Range: laminar. Source: plane Poiseuille flow as in `fit`; the split round the body is an assumption.
    Example: band open, top edge 10 mm below the bore top, hole further below, c 20 um, d 21.4 mm, e 0: as the
    `fit` of 10 mm, a = 2.235e14 1/m3.
    """
    of = Band(foot + band_from, foot + band_to)
    return leak(of, bore_top, gallery_height, gallery_diameter, ring(bore, shaft), eccentricity)


def land_below(
    foot: Numbers,
    band_from: Numbers,
    band_to: Numbers,
    gallery_height: Numbers,
    gallery_diameter: Numbers,
    bore_bottom: Numbers,
    bore: Numbers,
    shaft: Numbers,
    eccentricity: Numbers,
) -> Resistance:
    """Resistance of the leak from the gallery down the lifter and out of the bottom of its bore.

    `land_above` the other way up; where the foot rises above the bore's bottom edge the land ends at the
    foot, and a foot above the gallery's lower edge leaves that much of the hole open.
    Arguments, m: as in `window` (`foot`, `band_from`, `band_to`, `gallery_height`, `gallery_diameter`,
    `bore`, `shaft`); `bore_bottom`, height of the bore's bottom edge above the cam centre line;
    `eccentricity` 0-1.
    Range: laminar. Source: as `land_above`.
    Example: band open, lower edge 10 mm above the bore bottom, else as in `land_above`: 2.235e14 1/m3.
    """
    of = Band(foot + band_from, foot + band_to).upside_down
    end = np.maximum(bore_bottom, foot)
    return leak(of, -end, -gallery_height, gallery_diameter, ring(bore, shaft), eccentricity)


def land_below_wheel(
    foot: Numbers,
    band_from: Numbers,
    band_to: Numbers,
    gallery_height: Numbers,
    gallery_diameter: Numbers,
    bore_bottom: Numbers,
    bore: Numbers,
    shaft: Numbers,
    eccentricity: Numbers,
    wheel_window: Numbers,
) -> Resistance:
    """Resistance of the leak from the gallery down a lifter whose body is cut open for its wheel.

    As `land_below`, but the land ends where the body is whole again, `wheel_window` above the lowest point of
    the wheel: lifted so far that the cut stands at the gallery hole, the hole is open by as much.
    Arguments, m: as in `land_below` (`foot`, `band_from`, `band_to`, `gallery_height`, `gallery_diameter`,
    `bore_bottom`, `bore`, `shaft`, `eccentricity`); `wheel_window`, height of the cut's top edge.
    Range: laminar. Source: as `land_below`; the cut is taken to face the gallery, the worst way round.
    Example: cut 12 mm high, foot at 20 mm, bore from 25 mm: the land ends at 32 mm, as for a bore from there.
    """
    end = np.maximum(bore_bottom, foot + wheel_window)
    return land_below(
        foot, band_from, band_to, gallery_height, gallery_diameter, end, bore, shaft, eccentricity
    )
