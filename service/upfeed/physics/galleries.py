"""A gallery that lifters stand in: the run from one to the next, and what is left beside and round a body."""

# ruff: noqa: PLR0913, PLR0917 -- a law takes what its passage is measured by

import numpy as np

from upfeed.physics.geometry import circle_between
from upfeed.physics.holes import hole
from upfeed.physics.lands import band, window
from upfeed.physics.resistance import Array, Numbers, Resistance, Ways, in_series, per, resistance

# Fanning friction factor times Reynolds number of a duct that is a piece of a circle: 15.56 for the thinnest piece,
# 15.77 for the half, 16 for the whole circle (Shah and London 1978, from memory); one value is within 1.6 %.
FRICTION = 15.8
# Loss factor of narrowing and widening, 0.5 (1 - m) + (1 - m)² (sharp edge, Borda-Carnot: handbook, from memory), where
# half the gallery is covered, m = 1/2. Taken for all, so that a wider gallery never passes less: an assumption that
# gives a clear gallery half a head too much at each station and a nearly covered one up to a head too little.
CROSSING_LOSS = 0.5
# Slices that a body is cut into along the gallery.
SLICES = 48


def run(diameter: Numbers, length: Numbers) -> Resistance:
    """Resistance of a stretch of a gallery between two stations, its ends not counted.

    ``a = 128 L/(pi d⁴)``, b 0. Arguments: `diameter` d and `length` L in m. Range: laminar (Re below 2000).
    Source: Hagen-Poiseuille. Example: d = 10 mm, L = 0.1 m: a = 12.8/(pi 1e-8) = 4.074e8 1/m3.
    """
    d = np.maximum(diameter, 0.0)
    return resistance(per(128 * np.maximum(length, 0.0), np.pi * np.power(d, 4)), 0.0)


def past_body(
    foot: Numbers,
    band_from: Numbers,
    band_to: Numbers,
    gallery_height: Numbers,
    gallery_diameter: Numbers,
    bore: Numbers,
    shaft: Numbers,
    gallery_offset: Numbers,
    band_depth: Numbers,
) -> Ways:
    """The two ways along a gallery past a full lifter body: `beside` it, and round it through its band.

    Arguments, m: as in `window` (`foot`, `band_from`, `band_to`, `gallery_height`, `gallery_diameter`, `bore`,
    `shaft`); `gallery_offset`, distance of the gallery's axis from the lifter bore's; `band_depth` below the body.
    The band counts while it stands open to the gallery, in on one side and out on the other.
    Range and source: `beside`, `window`, `band`.
    Example: d = 10 mm and an offset of 15 mm clear a body of D = 20 mm: beside it, a = 8.047e7 1/m3.
    """
    mouth = window(foot, band_from, band_to, gallery_height, gallery_diameter, bore, shaft)
    around = in_series(mouth, band(shaft, band_from, band_to, band_depth), mouth)
    return Ways(beside(gallery_diameter, gallery_offset, shaft), around)


def past_waist(
    foot: Numbers,
    waist_from: Numbers,
    waist_to: Numbers,
    gallery_height: Numbers,
    gallery_diameter: Numbers,
    bore: Numbers,
    shaft: Numbers,
    gallery_offset: Numbers,
    waist_depth: Numbers,
) -> Ways:
    """The two ways along a gallery past a waisted lifter body: beside the waist, and round it.

    Arguments, m: as in `past_body` (`foot`, `gallery_height`, `gallery_diameter`, `bore`, `shaft`,
    `gallery_offset`), the waist's edges `waist_from` and `waist_to` above the foot in place of the band's, and
    `waist_depth` below the body.
    Range and source: as `past_body`; a waist is long enough to stay at the gallery beside it (an assumption).
    Example: d = 10 mm and an offset of 10 mm clear a waist of 10 mm: beside it, a = 4.023e7 1/m3.
    """
    mouth = window(foot, waist_from, waist_to, gallery_height, gallery_diameter, bore, shaft)
    around = in_series(mouth, band(shaft, waist_from, waist_to, waist_depth), mouth)
    return Ways(
        beside(gallery_diameter, gallery_offset, np.subtract(shaft, 2 * np.asarray(waist_depth))), around
    )


def past_bush(
    foot: Numbers,
    band_from: Numbers,
    band_to: Numbers,
    band_depth: Numbers,
    window_height: Numbers,
    window_diameter: Numbers,
    wall: Numbers,
    gallery_diameter: Numbers,
    gallery_offset: Numbers,
    bore: Numbers,
    shaft: Numbers,
) -> Ways:
    """The two ways along a gallery past a lifter in a bush: beside the bush, and through its holes round the band.

    Arguments, m: as in `past_body` (`foot`, `band_from`, `band_to`, `band_depth`, `gallery_diameter`,
    `gallery_offset`, `bore`, `shaft`); `window_height` and `window_diameter` of the bush's hole, its `wall`.
    Range and source: `hole`, `beside`, `window`, `band`; the bush is drilled right through with both holes alike (an
    assumption); its outer diameter is taken as the body's and twice the wall, some hundredths of a mm too little.
    Example: d = 10 mm and an offset of 15 mm clear a bush of 16 mm and twice 2 mm: beside it, a = 8.047e7 1/m3.
    """
    mouth = in_series(
        hole(window_diameter, wall),
        window(foot, band_from, band_to, window_height, window_diameter, bore, shaft),
    )
    around = in_series(mouth, band(shaft, band_from, band_to, band_depth), mouth)
    return Ways(beside(gallery_diameter, gallery_offset, np.add(shaft, 2 * np.asarray(wall))), around)


def beside(gallery_diameter: Numbers, gallery_offset: Numbers, body: Numbers) -> Resistance:
    """Resistance of what is left of a gallery beside a round body that stands across it.

    At z from the body's middle a piece of the circle is left, ``s = o + d/2 - sqrt(D²/4 - z²)`` high, A in area and
    Dh = 4 A/P in hydraulic diameter: ``a = integral of 2 * 15.8/(Dh² A) dz``, ``b = 0.5/(2 A²)`` at the narrowest.
    Arguments, m: `gallery_diameter` d; `gallery_offset` o between both axes; diameter D of the `body`. Shut where
    the body covers the gallery.
    Range: laminar. Source: ducts that are pieces of a circle, see `FRICTION`; the loss factor see
    `CROSSING_LOSS`; what a thin body leaves on its other side is not counted.
    Example: o = D/2, so that half of the circle is left at the middle: d = 10 mm, D = 20 mm, a = 2.332e8 1/m3.
    """
    d, offset, body = np.broadcast_arrays(
        np.maximum(gallery_diameter, 0.0), np.asarray(gallery_offset, dtype=float), np.maximum(body, 0.0)
    )
    z = (np.arange(SLICES) + 0.5) / SLICES * body[..., None] / 2
    half = np.sqrt(np.maximum(np.square(body[..., None] / 2) - z**2, 0.0))
    area, hydraulic = _piece(d[..., None], offset[..., None] + d[..., None] / 2 - half)
    friction = per(2 * FRICTION * body[..., None], hydraulic**2 * area).mean(axis=-1)
    narrowest, _ = _piece(d, offset + d / 2 - body / 2)
    return resistance(np.where(narrowest > 0, friction, np.inf), per(CROSSING_LOSS, 2 * narrowest**2))


def _piece(diameter: Array, height: Array) -> tuple[Array, Array]:
    """Area, m2, and hydraulic diameter, m, of a piece of a circle of this height, from 0 to the whole."""
    high = np.clip(height, 0.0, diameter)
    area = circle_between(diameter, diameter / 2 - high, diameter / 2)
    chord = 2 * np.sqrt(high * (diameter - high))
    turned = np.arccos(np.clip(1 - 2 * high / np.where(diameter > 0, diameter, 1.0), -1.0, 1.0))
    around = chord + diameter * turned
    return area, 4 * area / np.where(around > 0, around, 1.0)
