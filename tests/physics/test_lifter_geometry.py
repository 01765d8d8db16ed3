"""What grinding, raised bores, bridging bands, wheel windows and the rocker's swing do, worked by hand.

Heights in mm above the cam's centre: base circle 20, gallery hole 45 to 55. The lobe lifts 7.
"""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from upfeed.physics.lands import band, land_above, land_below, land_below_wheel, window
from upfeed.physics.metering import swing_apart
from upfeed.physics.resistance import flow, in_series
from upfeed.physics.timing import cut_off_lift, fed_share, lift_over_turn, lobe, window_area

MM, UM, DEG = 1e-3, 1e-6, math.pi / 180
MU, RHO, DP = 0.0085, 830.0, 2e5
LIFT = lift_over_turn(lobe(7 * MM, 0.15 * MM, 270 * DEG, 1.27 * MM, 212 * DEG))
GALLERY = {"gallery_height": 50 * MM, "gallery_diameter": 10 * MM}
FIT = {"bore": 21.42 * MM, "shaft": 21.38 * MM}
BAND = {"band_from": 28 * MM, "band_to": 32 * MM}


def through(way):
    return flow(DP, way, MU, RHO)


def raised(by):
    return {"gallery_height": 50 * MM + by, "gallery_diameter": 10 * MM}


# A reground base circle lowers the lifter


def test_a_base_circle_ground_half_a_millimetre_down_holds_the_band_half_a_millimetre_longer():
    for ground, leaves in ((0.0, 7.0), (0.5, 7.5), (1.0, 8.0)):
        lift, never = cut_off_lift(20 * MM - ground * MM, 9 * MM, BAND["band_from"], **GALLERY)
        assert lift == pytest.approx(leaves * MM, rel=1e-12)
        assert not never


def test_a_base_circle_ground_down_can_leave_the_band_below_the_gallery():
    # Band 24 to 26 above the foot: its upper edge at 46 stands 1 mm into the hole, ground 1.5 mm down 0.5 below it.
    low = {"band_from": 24 * MM, "band_to": 26 * MM}
    # Segment of 1 mm: 25 acos(0.8) - 4 * 3 = 4.0875 mm2.
    assert window_area(20 * MM, **low, **GALLERY) == pytest.approx(4.0875e-6, rel=1e-4)
    assert window_area(18.5 * MM, **low, **GALLERY) == 0.0
    assert through(window(18.5 * MM, **low, **GALLERY, **FIT)) < 0.02 * through(
        window(20 * MM, **low, **GALLERY, **FIT)
    )
    assert fed_share(18.5 * MM + LIFT, **low, **GALLERY) < fed_share(20 * MM + LIFT, **low, **GALLERY) == 1.0


# Raised bores: gallery and bore ends stand further from the cam, the lifter does not


@pytest.mark.parametrize("by", [0.5 * MM, 3 * MM, 12 * MM])
def test_bores_raised_are_a_lifter_lowered(by):
    foot = 20 * MM + LIFT
    fixed = {**BAND, **FIT}
    assert_allclose(window(foot, **fixed, **raised(by)), window(foot - by, **fixed, **GALLERY), rtol=1e-9)
    ends = {"eccentricity": 0.5}
    assert_allclose(
        land_above(foot, **fixed, **raised(by), bore_top=70 * MM + by, **ends),
        land_above(foot - by, **fixed, **GALLERY, bore_top=70 * MM, **ends),
        rtol=1e-9,
    )
    assert_allclose(
        land_below(foot, **fixed, **raised(by), bore_bottom=25 * MM + by, **ends),
        land_below(foot - by, **fixed, **GALLERY, bore_bottom=25 * MM, **ends),
        rtol=1e-9,
    )


def test_a_short_lifter_in_raised_bores_never_meets_the_gallery():
    # Raised by 12 the hole begins at 57 and the band's upper edge comes up to 20 + 32 + 7 = 59; by 15 it begins at 60.
    assert 0 < fed_share(20 * MM + LIFT, **BAND, **raised(12 * MM)) < 0.5
    assert fed_share(20 * MM + LIFT, **BAND, **raised(15 * MM)) == 0.0


# A band that stands at the gallery and out of the bore at once


def test_a_band_bridges_gallery_and_bore_top_between_two_lifts():
    # Band 30 to 36 above the foot, bore top at 58: out of the bore from 2 mm of lift, off the gallery from 5 mm.
    lifts = np.array([0.0, 1.9, 2.2, 3.5, 4.5, 5.3, 7.0])
    leaks = through(
        land_above(
            20 * MM + lifts * MM, 30 * MM, 36 * MM, **GALLERY, bore_top=58 * MM, **FIT, eccentricity=0.0
        )
    )
    sealed, bridging = leaks[[0, 1, 5, 6]], leaks[[2, 3, 4]]
    assert bridging.min() > 3 * sealed.max()
    # A land of 2 mm at rest, by hand: a = 12 * 2 mm/(67.2 mm * 8e-15) = 4.46e13.
    assert leaks[0] == pytest.approx(DP / (4.46e13 * MU), rel=0.07)
    # Half way, 1.5 mm of ring out and 1.5 mm of the hole open: 101 and 7.387 mm2 (25 acos(0.7) - 3.5 sqrt(12.75)).
    speed = math.sqrt(2 * DP / (1.6 * RHO))
    both = 1 / math.hypot(1 / 7.387e-6, 1 / 100.8e-6) + 1.344e-6
    assert leaks[3] == pytest.approx(both * speed, rel=0.03)


def test_a_short_bore_bleeds_for_part_of_each_turn():
    # The lobe stands higher than 1.27 mm for 212 of 720 deg: with the bore top 1.27 mm over a band that never leaves
    # the gallery, that is the bleed.
    edges = {"band_from": 25 * MM, "band_to": 36 * MM, "bore_top": 57.27 * MM}
    leaks = through(land_above(20 * MM + LIFT, **edges, **GALLERY, **FIT, eccentricity=0.0))
    assert np.mean(leaks > 20 * leaks.min()) == pytest.approx(212 / 720, abs=0.01)


# A body cut open for its wheel


def test_a_wheels_cut_opens_the_gallery_from_below():
    # Cut to 22 mm above the wheel's lowest point: at the hole's lower edge at 3 mm of lift, half way up it at 8.
    lifts = np.array([0.0, 2.9, 5.5])
    closed, near, opened = through(
        land_below_wheel(
            20 * MM + lifts * MM, **BAND, **GALLERY, bore_bottom=25 * MM, **FIT, eccentricity=0.0,
            wheel_window=22 * MM,
        )
    )  # fmt: skip
    # Uncovered by 2.5 mm of 10: 25 acos(0.5) - 2.5 sqrt(18.75) = 15.355 mm2, and 0.2 mm2 of clearance beside it.
    assert opened == pytest.approx(15.555e-6 * math.sqrt(2 * DP / (1.6 * RHO)), rel=0.1)
    assert closed < near < opened / 5


def test_a_foot_without_a_cut_seals_down_to_its_end():
    shared = {**BAND, **GALLERY, **FIT, "eccentricity": 0.5, "bore_bottom": 25 * MM}
    foot = 20 * MM + LIFT
    assert_allclose(
        land_below_wheel(foot, **shared, wheel_window=0.0), land_below(foot, **shared), rtol=1e-12
    )


# Round to the far side


def test_a_feed_hole_on_the_far_side_gets_no_more_than_one_that_faces_the_gallery():
    mouth = window(20 * MM + LIFT, **BAND, **GALLERY, **FIT)
    shallow, deep = (band(21.38 * MM, **BAND, depth=depth * MM) for depth in (0.1, 1.5))
    near, far, hardly_less = (
        through(way) for way in (mouth, in_series(mouth, shallow), in_series(mouth, deep))
    )
    assert np.all(far < near)
    assert np.all(hardly_less < near)
    assert np.all(far < hardly_less)


# The rocker's swing over the pushrod's ball


def linkage(arm, pushrod, rest, lift):
    """Turn, rad, of the rocker's cup on the pushrod's ball: rocker's swing less the pushrod's own tilt, exact.

    The pivot is the origin, the arm stands at the angle `rest` from square to the pushrod, which starts upright.
    """
    foot = np.array([arm * math.cos(rest), arm * math.sin(rest) - pushrod])

    def gap(angle):
        return math.hypot(arm * math.cos(angle) - foot[0], arm * math.sin(angle) - foot[1] - lift) - pushrod

    angle = brentq(gap, rest, rest + 0.8, xtol=1e-14)
    tilt = math.asin((foot[0] - arm * math.cos(angle)) / pushrod)
    return angle - rest - tilt


@pytest.mark.parametrize("swing", [0.05, 0.1, 0.2, 0.3, 0.4])
@pytest.mark.parametrize("start", [-0.7, -0.5, -0.3])
def test_the_holes_part_by_the_rockers_real_swing(swing, start):
    # Arms that swing about square to the pushrod, a third to seven tenths of it below: the law's lift/arm is within
    # 2.5 % of the exact linkage to 0.4 rad (0.2 rad is usual), the tilt of the pushrod counted.
    arm, pushrod, ball = 35 * MM, 200 * MM, 8 * MM
    exact = ball / 2 * linkage(arm, pushrod, start * swing, swing * arm)
    assert swing_apart(ball, arm, 0.0, swing * arm) == pytest.approx(exact, rel=0.025)
