"""A lifter with two bands against lifters with one, and worked by hand.

Heights in mm above the cam's centre: gallery hole 45 to 55, foot at 20 on the base circle.
"""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from upfeed.physics.galleries import past_body
from upfeed.physics.lands import land_above, land_below_wheel
from upfeed.physics.resistance import flow
from upfeed.physics.twobands import land_above_two_bands, land_below_two_bands, past_two_bands

MM, UM = 1e-3, 1e-6
MU, RHO, DP = 0.0085, 830.0, 2e5
GALLERY = {"gallery_height": 50 * MM, "gallery_diameter": 10 * MM}
FIT = {"bore": 21.42 * MM, "shaft": 21.38 * MM}
ABOVE = {**GALLERY, **FIT, "bore_top": 75 * MM, "eccentricity": 0.0}
BELOW = {**GALLERY, **FIT, "bore_bottom": 25 * MM, "eccentricity": 0.0, "wheel_window": 8 * MM}


def through(way):
    return flow(DP, way, MU, RHO)


def bands(first, second):
    (lower, upper), (further_lower, further_upper) = first, second
    return {
        "band_from": lower * MM, "band_to": upper * MM, "second_from": further_lower * MM,
        "second_to": further_upper * MM,
    }  # fmt: skip


def band(lower, upper):
    return {"band_from": lower * MM, "band_to": upper * MM}


@pytest.mark.parametrize(("two", "shared"), [(land_above_two_bands, ABOVE), (land_below_two_bands, BELOW)])
def test_it_does_not_matter_which_band_is_called_the_second(two, shared):
    foot = 20 * MM + np.linspace(0, 9, 40) * MM
    one, other = (26, 29), (32, 36)
    assert_allclose(
        two(foot, **bands(one, other), **shared), two(foot, **bands(other, one), **shared), rtol=1e-12
    )


def test_two_bands_that_meet_are_one_wide_band():
    # Cut at any height between its edges, while both parts stand at the gallery.
    whole = land_above(20 * MM, **band(26, 36), **ABOVE)
    for cut in (28, 30, 33):
        parts = land_above_two_bands(20 * MM, **bands((26, cut), (cut, 36)), **ABOVE)
        assert_allclose(through(parts), through(whole), rtol=1e-9)
    whole = land_below_wheel(20 * MM, **band(26, 36), **BELOW)
    parts = land_below_two_bands(20 * MM, **bands((26, 30), (30, 36)), **BELOW)
    assert_allclose(through(parts), through(whole), rtol=1e-9)


def test_a_land_is_cut_short_by_a_band_in_it():
    # Band at the gallery up to 54, bore top 75: 21 mm of land; a groove 4 mm wide in it leaves 17. By hand, plane
    # Poiseuille flow round d 21.4 mm, c 20 um: Q = pi d c³ dp/(12 mu L).
    assert through(land_above(20 * MM, **band(30, 34), **ABOVE)) == pytest.approx(
        math.pi * 21.4 * MM * (20 * UM) ** 3 * DP / (12 * MU * 21 * MM), rel=0.02
    )
    cut = through(land_above_two_bands(20 * MM, **bands((30, 34), (43, 47)), **ABOVE))
    by_hand = math.pi * 21.4 * MM * (20 * UM) ** 3 * DP / (12 * MU * 17 * MM)
    assert cut == pytest.approx(by_hand, rel=0.02)


def test_a_second_band_of_no_width_changes_nothing():
    alone = land_above(20 * MM, **band(30, 34), **ABOVE)
    beside = land_above_two_bands(20 * MM, **bands((30, 34), (45, 45)), **ABOVE)
    # But for what comes straight from the hole, whose edge is 1 mm nearer than the band's.
    assert_allclose(through(beside), through(alone), rtol=0.01)


def test_an_upper_band_that_is_fed_leaks_over_its_own_land_alone():
    alone = through(land_above(20 * MM, **band(33, 36), **ABOVE))
    beside = through(land_above_two_bands(20 * MM, **bands((26, 28), (33, 36)), **ABOVE))
    assert beside == pytest.approx(alone, rel=1e-9)


def test_a_lower_band_bleeds_through_an_upper_one_out_of_the_bore_as_far_as_its_land_lets_it():
    # Upper band out of a bore that ends at 62, lower one still at the gallery: 4 mm of land between, 2 mm in the bore.
    short = {**ABOVE, "bore_top": 62 * MM}
    leak = through(land_above_two_bands(26 * MM, **bands((26, 30), (34, 40)), **short))
    land = math.pi * 21.4 * MM * (20 * UM) ** 3 * DP / (12 * MU * 4 * MM)
    assert land * 0.9 < leak < land * 1.1


def test_both_bands_out_of_the_bore_and_at_the_gallery_bleed():
    short = {**ABOVE, "bore_top": 56 * MM}
    open_ = through(land_above_two_bands(26 * MM, **bands((26, 32), (33, 36)), **short))
    sealed = through(land_above_two_bands(20 * MM, **bands((26, 32), (33, 35)), **short))
    assert open_ > 5 * sealed


def test_a_gallery_goes_round_by_both_bands():
    sizes = {**GALLERY, **FIT, "gallery_offset": 3 * MM, "band_depth": 1 * MM}
    one = past_body(20 * MM, **band(26, 29), **sizes)
    both = past_two_bands(20 * MM, **bands((26, 29), (31, 34)), second_depth=1 * MM, **sizes)
    faced_by_one = past_two_bands(20 * MM, **bands((26, 29), (45, 49)), second_depth=1 * MM, **sizes)
    assert_allclose(both.first, one.first)
    # Alike on both sides of the gallery's middle: twice as much.
    assert through(both.second) == pytest.approx(2 * through(one.second), rel=1e-6)
    assert through(faced_by_one.second) == pytest.approx(through(one.second), rel=0.1)
