"""The registry against the functions it names; what a larger, wider or tighter passage may never do."""

import inspect

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from upfeed.physics.holes import bore_volume
from upfeed.physics.laws import (
    LAWS,
    Ways,
    bore,
    fit,
    flow,
    groove,
    hole,
    land_above,
    land_below,
    notched_disc,
    opening,
    rocker_hole,
    shut,
    window,
)
from upfeed.reading.units import QUANTITIES

MU, RHO, DP = 0.0085, 830.0, 2e5
MM, UM = 1e-3, 1e-6


def through(way, dp=DP):
    return flow(dp, way, MU, RHO)


def no_less(more, less):
    """Never less, whatever the oil: neither coefficient is larger (but for rounding)."""
    return bool(
        np.all(more.a <= less.a * (1 + 1e-12)) and np.all((more.b <= less.b * (1 + 1e-12)) | np.isinf(less.a))
    )


# The registry


@pytest.mark.parametrize("name", sorted(LAWS))
def test_a_law_takes_what_it_says(name):
    law = LAWS[name]
    assert law.function.__name__ == name
    assert set(law.arguments) == set(inspect.signature(law.function).parameters)
    assert set(law.arguments.values()) <= {*QUANTITIES, "turn"}


@pytest.mark.parametrize("name", sorted(LAWS))
def test_a_law_documents_every_argument(name):
    text = inspect.getdoc(LAWS[name].function)
    assert [argument for argument in LAWS[name].arguments if f"`{argument}`" not in text] == []


GALLERY = {"gallery_height": 50 * MM, "gallery_diameter": 10 * MM, "bore": 21.42 * MM, "shaft": 21.38 * MM}
BAND = {"band_from": 28 * MM, "band_to": 30 * MM}
LIFTER = GALLERY | BAND


def a_window(**changes):
    return window(**{**LIFTER, "foot": 20 * MM, **changes})


def a_land_above(**changes):
    return land_above(**{**LIFTER, "foot": 20 * MM, "bore_top": 70 * MM, "eccentricity": 0.0, **changes})


def a_land_below(**changes):
    return land_below(**{**LIFTER, "foot": 20 * MM, "bore_bottom": 25 * MM, "eccentricity": 0.0, **changes})


# Holes


diameters = st.floats(0.1 * MM, 20 * MM)
lengths = st.floats(0.0, 300 * MM)
LARGER = st.floats(1.0, 3.0)


@given(diameters, LARGER, lengths)
def test_a_larger_hole_never_passes_less(diameter, larger, length):
    for law in (hole, bore):
        assert no_less(law(diameter * larger, length), law(diameter, length))


@given(diameters, lengths, LARGER)
def test_a_longer_hole_never_passes_more(diameter, length, longer):
    for law in (hole, bore):
        assert no_less(law(diameter, length), law(diameter, length * longer))


@given(st.floats(0.0, 1e-4), LARGER, lengths)
def test_a_larger_opening_never_passes_less(area, larger, length):
    assert no_less(opening(area * larger, length), opening(area, length))


def test_a_hole_of_no_size_is_no_way():
    for size in (0.0, -1 * MM):
        for way in (hole(size, 1 * MM), bore(size, 1 * MM), opening(size, 0.0), hole(size, 0.0), shut()):
            assert way == (np.inf, 0.0)
            assert through(way) == 0.0


# Fits and grooves


@given(diameters, st.floats(1 * UM, 100 * UM), LARGER, st.floats(0, 1), st.floats(0, 1))
def test_a_looser_fit_never_passes_less(size, clearance, looser, land, eccentricity):
    def round_shaft(gap):
        return fit(size + gap, size - gap, land * size, eccentricity)

    def in_groove(gap):
        return groove(size, gap, land * size, eccentricity, -1.0, 2.0)

    for law in (round_shaft, in_groove):
        assert no_less(law(clearance * looser), law(clearance))


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_shaft_off_centre_never_passes_less(eccentricity, further):
    near, far = sorted((eccentricity, further))
    assert no_less(fit(21.44 * MM, 21.4 * MM, 9 * MM, far), fit(21.44 * MM, 21.4 * MM, 9 * MM, near))


@given(st.floats(-7, 7), st.floats(-7, 7), st.floats(0, 3), st.floats(0, 1))
def test_a_longer_groove_never_passes_less(start, end, further, eccentricity):
    start, end = sorted((start, end))
    longer = groove(50 * MM, 50 * UM, 9 * MM, eccentricity, start, end + further)
    shorter = groove(50 * MM, 50 * UM, 9 * MM, eccentricity, start, end)
    assert through(longer) >= through(shorter) * (1 - 1e-9) - 1e-25


def test_no_clearance_is_no_way():
    tight = {"bore": 21.4 * MM, "shaft": 21.41 * MM}
    assert fit(**tight, length=9 * MM, eccentricity=0.5) == (np.inf, 0.0)
    assert groove(50 * MM, 0.0, 9 * MM, 0.5, 0.0, 3.0) == (np.inf, 0.0)
    assert groove(50 * MM, 50 * UM, 9 * MM, 0.5, 2.0, 2.0) == (np.inf, 0.0)
    assert a_window(**tight, foot=30 * MM) == (np.inf, 0.0)
    assert a_land_above(**tight) == (np.inf, 0.0)
    assert np.isfinite(a_window(**tight).a)  # open: the hole itself


# The window and the lands, over the turn

feet = st.floats(10 * MM, 45 * MM)


@given(feet, feet, st.floats(0, 60 * UM))
def test_a_band_nearer_the_gallery_never_passes_less(foot, other, clearance):
    aligned = 21 * MM  # middle of the band at the middle of the gallery
    near, far = sorted((foot, other), key=lambda f: abs(f - aligned))
    bores = {"bore": 21.4 * MM + clearance}
    less, more = a_window(foot=far, **bores), a_window(foot=near, **bores)
    assert through(more) >= through(less) * (1 - 1e-9)


@given(feet, st.floats(0, 5 * MM), st.floats(0, 5 * MM))
def test_a_wider_band_never_passes_less(foot, down, up):
    wider = a_window(foot=foot, band_from=28 * MM - down, band_to=30 * MM + up)
    assert through(wider) >= through(a_window(foot=foot)) * (1 - 1e-9)


@pytest.mark.parametrize("shuts_at", [27 * MM, 15 * MM])  # the band leaves upwards and downwards
def test_the_window_shuts_without_a_step(shuts_at):
    for law in (a_window, a_land_above, a_land_below):
        before, after = law(foot=shuts_at - 1e-12), law(foot=shuts_at + 1e-12)
        assert_allclose(before, after, rtol=1e-4)


def test_a_shut_band_leaks_over_its_land():
    # By hand: cover 3 mm, w 10 mm, c 20 um: 12 * 3e-3/(16e-3 * 8e-15) = 2.8125e14, edge 2.546e12 1/m3.
    assert_allclose(a_window(foot=30 * MM).a, 2.8125e14 + 2.546e12, rtol=1e-4)
    # b rises to that of the edge alone, 0.2 mm2.
    assert_allclose(a_window(foot=30 * MM).b, 1.6 / (2 * 0.2e-6**2), rtol=1e-9)


@given(feet, st.floats(1 * UM, 60 * UM), LARGER)
def test_a_looser_lifter_never_leaks_less(foot, clearance, looser):
    for law in (a_window, a_land_above, a_land_below):
        loose = law(foot=foot, bore=21.4 * MM + clearance * looser, shaft=21.4 * MM)
        tight = law(foot=foot, bore=21.4 * MM + clearance, shaft=21.4 * MM)
        assert through(loose) >= through(tight) * (1 - 1e-9)


def test_lands_by_hand():
    # Band open, its edge 10 mm from the end of the bore and nearer to it than the gallery hole: the ring
    # leaks as a fit of 10 mm.
    ring = fit(21.42 * MM, 21.38 * MM, 10 * MM, 0.0)
    assert_allclose(a_land_above(foot=26 * MM, bore_top=66 * MM).a, ring.a, rtol=1e-9)
    assert_allclose(a_land_below(foot=16 * MM, bore_bottom=34 * MM).a, ring.a, rtol=1e-9)


def test_a_gallery_hole_nearer_the_end_leaks_over_its_own_width():
    # By hand: ring of pi 21.4 - 10 = 57.23 mm over 20 mm, and 10 mm over 15 mm: conductances add.
    lands = 57.23 * MM / (20 * MM) + 10 / 15
    expected = 12 / (8e-15 * lands)
    assert_allclose(a_land_above(foot=20 * MM, bore_top=70 * MM).a, expected, rtol=2e-3)


def test_a_band_across_gallery_and_bore_top_is_an_open_bleed():
    # By hand: 0.5 mm of the band stands out of the bore and 0.5 mm of the hole open to the band: a segment of
    # 25 acos(0.9) - 4.5 sqrt(4.75) = 1.468 mm2, a small part of the 33.6 mm2 ring that the band leaves by.
    bridging = a_land_above(foot=26.5 * MM, bore_top=56 * MM)
    # In a row 1/sqrt(1/1.468² + 1/33.6²) = 1.467 mm2; the clearance round the body adds 1.34 mm2.
    assert bridging.b == pytest.approx(1.6 / (2 * (1.467e-6 + 67.2 * MM * 20 * UM) ** 2), rel=2e-3)
    # Thirty times and more of what the land lets by before.
    assert through(bridging) > 30 * through(a_land_above(foot=24 * MM, bore_top=56 * MM))
    # ... but not where the gallery is shut off from the band.
    assert through(a_land_above(foot=28.5 * MM, bore_top=56 * MM)) < 0.01 * through(bridging)


def test_a_foot_above_the_gallerys_lower_edge_leaves_it_open():
    covered = through(a_land_below(foot=44 * MM, bore_bottom=25 * MM))
    half = through(a_land_below(foot=50 * MM, bore_bottom=25 * MM))
    # Half a 10 mm hole; the clearances beside it add some 1.3 mm2 to its 39 mm2.
    assert_allclose(half, through(opening(np.pi / 8 * 1e-4, 0.0)), rtol=0.04)
    assert half > 50 * covered


# Timed metering


@pytest.mark.parametrize(
    ("seated", "base_circle", "lifted"),
    [(1.0, 1.0, False), (1.0, 0.0, False), (0.0, 0.0, False), (0.0, 1.0, True)],
)
def test_a_disc_lifts_only_unseated_and_on_the_base_circle(seated, base_circle, lifted):
    notch, gap = notched_disc(0.06e-6, 8 * MM, 10 * MM, 35 * UM, seated, base_circle)
    assert np.isfinite(gap.a) == lifted
    assert notch == opening(0.06e-6, 0.0)


def test_a_disc_over_the_turn_and_over_cases():
    ways = notched_disc(
        0.06e-6, 8 * MM, 10 * MM, 35 * UM, np.array([[0.0], [1.0]]), np.array([0.0, 1.0, 1.0])
    )
    assert isinstance(ways, Ways)
    assert np.isfinite(ways.second.a).tolist() == [[False, True, True], [False, False, False]]


@given(st.floats(1 * UM, 100 * UM), LARGER, st.floats(1 * MM, 10 * MM), st.floats(0.5, 2.0))
def test_a_disc_that_rises_further_never_passes_less(rise, further, inner, outer):
    def gap(height):
        return notched_disc(0.06e-6, inner, inner * outer, height, 0.0, 1.0).second

    assert no_less(gap(rise * further), gap(rise))


ROCKER = {"depth": 3 * MM, "ball_diameter": 8 * MM, "arm": 40 * MM, "rest_offset": 0.2 * MM}


@given(st.floats(0.3 * MM, 3 * MM), st.floats(0.3 * MM, 4 * MM), LARGER, st.floats(0, 9 * MM))
def test_a_larger_rocker_or_tip_hole_never_passes_less(size, tip, larger, lift):
    small = rocker_hole(hole=size, tip_hole=tip, lift=lift, **ROCKER)
    assert no_less(rocker_hole(hole=size, tip_hole=tip * larger, lift=lift, **ROCKER), small)
    assert no_less(rocker_hole(hole=size * larger, tip_hole=tip, lift=lift, **ROCKER), small)


@given(st.floats(0, 9 * MM), st.floats(0, 9 * MM))
def test_more_swing_never_opens_the_rocker_hole(lift, further):
    near, far = sorted((lift, further))
    assert no_less(
        rocker_hole(hole=1 * MM, tip_hole=1.5 * MM, lift=near, **ROCKER),
        rocker_hole(hole=1 * MM, tip_hole=1.5 * MM, lift=far, **ROCKER),
    )


def test_rocker_and_tip_holes_apart_are_no_way():
    way = rocker_hole(1 * MM, 3 * MM, 1 * MM, 8 * MM, 40 * MM, 0.0, np.array([0.0, 9.0, 11.0]) * MM)
    assert np.isfinite(way.a).tolist() == [True, True, False]  # they part at 10 mm: 4 mm * 10/40 = 1 mm
    assert through(way)[2] == 0.0


# Every law, on arrays and on whatever numbers come

SIZES = st.one_of(st.just(0.0), st.floats(-1 * MM, 60 * MM))


@pytest.mark.parametrize("name", sorted(LAWS))
@given(data=st.data())
def test_no_law_ever_gives_nan(name, data):
    law = LAWS[name]
    values = {argument: data.draw(SIZES) for argument in law.arguments}
    got = law.function(**values)
    for way in got if isinstance(got, Ways) else (got,):
        assert not np.isnan(way.a)
        assert np.isfinite(way.b)
        assert way.a >= 0
        assert way.b >= 0
        assert np.isfinite(through(way)) or way.a == way.b == 0


@pytest.mark.parametrize("name", sorted(name for name in LAWS if LAWS[name].arguments))
def test_every_law_broadcasts_over_cases_and_angles(name):
    law = LAWS[name]
    last = list(law.arguments)[-1]
    values = {argument: np.full((2, 1), 1 * MM) for argument in law.arguments} | {
        last: np.linspace(0.1, 1, 5) * MM
    }
    got = law.function(**values)
    for way in got if isinstance(got, Ways) else (got,):
        assert np.broadcast_shapes(way.a.shape, way.b.shape, (2, 5)) == (2, 5)


def test_a_bore_holds_its_cylinder():
    # By hand: pi/4 * 0.3² cm2 * 20 cm = 1.41372 mL; one twice as wide four times as much.
    assert bore_volume(3 * MM, 200 * MM) == pytest.approx(1.41372e-6, rel=1e-5)
    assert bore_volume(6 * MM, 200 * MM) == pytest.approx(4 * 1.41372e-6, rel=1e-5)


def test_a_rocker_hole_all_over_the_tips_hole_resists_as_the_hole_alone():
    whole = rocker_hole(hole=1 * MM, tip_hole=2 * MM, lift=0.0, **ROCKER)
    alone = hole(1 * MM, ROCKER["depth"])
    assert (float(whole.a), float(whole.b)) == pytest.approx((float(alone.a), float(alone.b)), rel=1e-9)
