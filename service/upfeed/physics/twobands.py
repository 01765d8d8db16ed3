"""A lifter with two bands: its leaks out of the bore's ends, and the ways along a gallery past it."""

# ruff: noqa: PLR0913, PLR0917 -- a law takes what its passage is measured by

import numpy as np

from upfeed.physics.films import beside
from upfeed.physics.fits import ring
from upfeed.physics.galleries import past_body
from upfeed.physics.leaks import Band, leak
from upfeed.physics.resistance import Array, Numbers, Resistance, Ways


def land_above_two_bands(
    foot: Numbers,
    band_from: Numbers,
    band_to: Numbers,
    second_from: Numbers,
    second_to: Numbers,
    gallery_height: Numbers,
    gallery_diameter: Numbers,
    bore_top: Numbers,
    bore: Numbers,
    shaft: Numbers,
    eccentricity: Numbers,
) -> Resistance:
    """Resistance of the leak from the gallery up a lifter with two bands and out of the top of its bore.

    As `land_above` from the upper band; the lower band feeds it along the land between both.
    Arguments, m: as in `land_above` (`foot`, `band_from`, `band_to`, `gallery_height`, `gallery_diameter`,
    `bore_top`, `bore`, `shaft`, `eccentricity`); `second_from` and `second_to`, the other band's edges above the
    foot, which of the two is the upper one does not matter.
    Range: laminar. Source: as `land_above`; of the two lands that feed the upper band the easier one counts, since the
    stretch over the hole is part of both (an assumption).
    Example: both bands at the gallery, top edge 10 mm below the bore top, c 20 um, d 21.4 mm, e 0: as the `fit` of
    10 mm, a = 2.235e14 1/m3.
    """
    upper, lower = _sorted(foot, band_from, band_to, second_from, second_to)
    return leak(
        upper, bore_top, gallery_height, gallery_diameter, ring(bore, shaft), eccentricity, further=lower
    )


def land_below_two_bands(
    foot: Numbers,
    band_from: Numbers,
    band_to: Numbers,
    second_from: Numbers,
    second_to: Numbers,
    gallery_height: Numbers,
    gallery_diameter: Numbers,
    bore_bottom: Numbers,
    bore: Numbers,
    shaft: Numbers,
    eccentricity: Numbers,
    wheel_window: Numbers,
) -> Resistance:
    """Resistance of the leak from the gallery down a lifter with two bands and out of the bottom of its bore.

    `land_above_two_bands` the other way up; the land ends as in `land_below_wheel`.
    Arguments, m: as in `land_above_two_bands` (`foot`, `band_from`, `band_to`, `second_from`, `second_to`,
    `gallery_height`, `gallery_diameter`, `bore`, `shaft`, `eccentricity`); `bore_bottom`, height of the bore's
    bottom edge above the cam centre line; `wheel_window`, height of the top edge of the cut for a wheel above the
    foot, 0 without a wheel.
    Range: laminar. Source: as `land_above_two_bands`, `land_below_wheel`.
    Example: both bands at the gallery, lower edge 10 mm above the bore bottom, else as there: 2.235e14 1/m3.
    """
    upper, lower = _sorted(foot, band_from, band_to, second_from, second_to)
    end = np.maximum(bore_bottom, foot + np.asarray(wheel_window))
    return leak(
        lower.upside_down,
        -end,
        -np.asarray(gallery_height),
        gallery_diameter,
        ring(bore, shaft),
        eccentricity,
        further=upper.upside_down,
    )


def past_two_bands(
    foot: Numbers,
    band_from: Numbers,
    band_to: Numbers,
    second_from: Numbers,
    second_to: Numbers,
    gallery_height: Numbers,
    gallery_diameter: Numbers,
    bore: Numbers,
    shaft: Numbers,
    gallery_offset: Numbers,
    band_depth: Numbers,
    second_depth: Numbers,
) -> Ways:
    """The two ways along a gallery past a lifter body with two bands: beside it, and round it through both.

    Arguments, m: as in `past_body` (`foot`, `band_from`, `band_to`, `gallery_height`, `gallery_diameter`, `bore`,
    `shaft`, `gallery_offset`, `band_depth`); edges `second_from` and `second_to` and depth `second_depth` of the
    other band.
    Range and source: as `past_body`; both bands as one see `films.beside`.
    Example: d = 10 mm and an offset of 15 mm clear a body of D = 20 mm: beside it, a = 8.047e7 1/m3.
    """
    first = past_body(
        foot, band_from, band_to, gallery_height, gallery_diameter, bore, shaft, gallery_offset, band_depth
    )
    second = past_body(
        foot,
        second_from,
        second_to,
        gallery_height,
        gallery_diameter,
        bore,
        shaft,
        gallery_offset,
        second_depth,
    )
    return Ways(first.first, beside(first.second, second.second))


def _sorted(
    foot: Numbers, band_from: Numbers, band_to: Numbers, second_from: Numbers, second_to: Numbers
) -> tuple[Band, Band]:
    """The upper and the lower band."""
    second_above: Array = np.greater(second_to, band_to)

    def either(one: Numbers, other: Numbers) -> Array:
        height: Array = np.asarray(foot) + np.where(second_above, one, other)
        return height

    upper = Band(either(second_from, band_from), either(second_to, band_to))
    return upper, Band(either(band_from, second_from), either(band_to, second_to))
