"""The lobe of a cam card, and how long windows stand open."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from upfeed.physics.timing import (
    ANGLES,
    CAM_ANGLES,
    cut_off_lift,
    fed_share,
    lift_at,
    lift_over_turn,
    lobe,
    lobe_exists,
    rocker_open_share,
    window_area,
)

MM = 1e-3
DEG = np.pi / 180
CARD = (7.0 * MM, 0.15 * MM, 270 * DEG, 1.27 * MM, 212 * DEG)
cards = st.tuples(
    st.floats(4, 12), st.floats(0.05, 0.3), st.floats(200, 340), st.floats(0.8, 1.6), st.floats(0.6, 0.9)
).map(lambda c: (c[0] * MM, c[1] * MM, c[2] * DEG, c[3] * MM, c[2] * c[4] * DEG))


@given(cards)
def test_a_lobe_meets_both_checking_lifts(card):
    assume(lobe_exists(*card))
    made = lobe(*card)
    _, low_lift, low_duration, high_lift, high_duration = card
    # A duration of crank is half as much cam, one half of it each side of the nose.
    for side in (-1, 1):
        assert_allclose(lift_at(side * low_duration / 4, made), low_lift, rtol=1e-10)
        assert_allclose(lift_at(side * high_duration / 4, made), high_lift, rtol=1e-10)
    assert lift_at(0.0, made) == card[0]


def test_the_turn_stands_as_long_at_the_checking_lifts_as_the_card_says():
    lift = lift_over_turn(lobe(*CARD))
    assert lift.shape == (ANGLES,)
    # Counted back from the turn: one angle is one degree of crank, both ends of a duration may miss one.
    assert np.count_nonzero(lift > 0.15 * MM) == pytest.approx(270, abs=2)
    assert np.count_nonzero(lift > 1.27 * MM) == pytest.approx(212, abs=2)
    assert lift.max() == CARD[0]


def test_the_base_circle_is_exactly_flat():
    made = lobe(*CARD)
    lift = lift_over_turn(made)
    assert np.all((lift == 0.0) == (np.abs(CAM_ANGLES) >= made.half_width))
    assert np.count_nonzero(lift == 0.0) > 300


@given(cards)
def test_a_lobe_rises_to_its_nose_and_falls_after_it(card):
    assume(lobe_exists(*card))
    steps = np.diff(lift_over_turn(lobe(*card)))
    half = ANGLES // 2
    assert np.all(steps[:half] >= 0)
    assert np.all(steps[half:] <= 0)


def test_cards_side_by_side():
    other = (8.0 * MM, 0.15 * MM, 280 * DEG, 1.27 * MM, 224 * DEG)
    both = lobe(*(np.array(pair)[:, None] for pair in zip(CARD, other, strict=True)))
    lift = lift_over_turn(both)
    assert lift.shape == (2, 1, ANGLES)
    assert_allclose(lift[0, 0], lift_over_turn(lobe(*CARD)), rtol=1e-12)


@pytest.mark.parametrize(
    "card",
    [
        (7 * MM, 0.15 * MM, 212 * DEG, 1.27 * MM, 270 * DEG),  # longer at the higher lift
        (7 * MM, 1.27 * MM, 270 * DEG, 0.15 * MM, 212 * DEG),  # lifts the wrong way round
        (1 * MM, 0.15 * MM, 270 * DEG, 1.27 * MM, 212 * DEG),  # checking lift above the lobe
        (7 * MM, 0.15 * MM, 270 * DEG, 1.27 * MM, 150 * DEG),  # flanks that would flatten
        (7 * MM, 0.15 * MM, 730 * DEG, 1.27 * MM, 400 * DEG),  # more than a turn
        (7 * MM, 0.0, 270 * DEG, 1.27 * MM, 212 * DEG),
        (0.0, 0.0, 0.0, 0.0, 0.0),
    ],
)
def test_a_card_no_lobe_can_meet_is_told(card):
    assert not lobe_exists(*card)
    with pytest.raises(ValueError, match="check the cam card"):
        lobe(*card)


def test_the_card_that_is_told_is_the_impossible_one():
    assert lobe_exists(*CARD)
    durations = np.array([270.0, 200.0]) * DEG
    with pytest.raises(ValueError, match=r"stands 200 deg of crank at 0\.15 mm and 212 deg at 1\.27 mm"):
        lobe(CARD[0], CARD[1], durations, CARD[3], CARD[4])


# The band in front of the gallery. Base circle 20 mm; gallery hole from 45 to 55 mm.

GALLERY = {"gallery_height": 50 * MM, "gallery_diameter": 10 * MM}
FOOT = 20 * MM + lift_over_turn(lobe(*CARD))


def test_a_band_across_the_hole_leaves_all_of_it_open():
    assert window_area(20 * MM, 20 * MM, 40 * MM, **GALLERY) == pytest.approx(np.pi * 25e-6, rel=1e-12)
    assert window_area(20 * MM, 30 * MM, 40 * MM, **GALLERY) == pytest.approx(np.pi * 12.5e-6, rel=1e-12)
    assert window_area(20 * MM, 35 * MM, 40 * MM, **GALLERY) == 0.0


def test_fed_share_by_hand():
    assert fed_share(FOOT, 27 * MM, 30 * MM, **GALLERY) == 1.0  # leaves at 8 mm, the lobe lifts 7
    assert fed_share(FOOT, 36 * MM, 38 * MM, **GALLERY) == 0.0  # above the hole from the start
    # Leaves at 1.27 mm of lift, above which the card stands 212 of 720 deg of crank.
    assert fed_share(FOOT, 33.73 * MM, 36 * MM, **GALLERY) == pytest.approx(1 - 212 / 720, abs=2 / 720)
    # Comes up to the hole at 1.27 mm: fed for those 212.
    assert fed_share(FOOT, 20 * MM, 23.73 * MM, **GALLERY) == pytest.approx(212 / 720, abs=2 / 720)


@given(st.floats(10, 45), st.floats(0, 6), st.floats(0, 5), st.floats(0, 5))
def test_a_wider_band_never_feeds_for_less_of_the_turn(band_from, width, down, up):
    narrow = fed_share(FOOT, band_from * MM, (band_from + width) * MM, **GALLERY)
    wide = fed_share(FOOT, (band_from - down) * MM, (band_from + width + up) * MM, **GALLERY)
    assert wide >= narrow


@given(st.floats(10, 45), st.floats(0.1, 6), st.floats(0.1, 12))
def test_the_share_counts_the_angles_with_an_open_window(band_from, width, diameter):
    band = (band_from * MM, (band_from + width) * MM)
    area = window_area(FOOT, *band, 50 * MM, diameter * MM)
    # An overlap of less than a nanometre may leave an area that rounds to nothing.
    assert fed_share(FOOT, *band, 50 * MM, diameter * MM) == pytest.approx(np.mean(area > 0), abs=1 / ANGLES)


def test_cut_off_lift_by_hand():
    lift, never = cut_off_lift(20 * MM, 9 * MM, 28 * MM, **GALLERY)
    assert lift == pytest.approx(7 * MM, rel=1e-12)
    assert not never


def test_a_band_whose_edge_only_comes_to_the_gallerys_has_not_left_it():
    # 1/2 + 1/4/2 - 1/4 - 1/4 = 1/8, in numbers without rounding.
    assert cut_off_lift(0.25, 0.125, 0.25, gallery_height=0.5, gallery_diameter=0.25) == (0.125, True)


def test_a_flank_as_long_at_both_lifts_is_no_lobe():
    assert not lobe_exists(CARD[0], CARD[1], CARD[2], CARD[3], CARD[2])


def test_a_band_that_never_leaves_and_one_that_was_never_there():
    assert cut_off_lift(20 * MM, 7 * MM, 27 * MM, **GALLERY) == (7 * MM, True)
    assert cut_off_lift(20 * MM, 7 * MM, 36 * MM, **GALLERY) == (0.0, False)


@given(st.floats(20, 40))
def test_past_its_cut_off_the_window_is_shut(band_from):
    lift, never = cut_off_lift(20 * MM, 7 * MM, band_from * MM, **GALLERY)
    past = np.linspace(lift, 7 * MM, 20)[1:] + 20 * MM
    assert never or np.all(window_area(past, band_from * MM, (band_from + 3) * MM, **GALLERY) < 1e-15)


# The rocker's hole over the pushrod's

ROCKER = {"ball_diameter": 8 * MM, "arm": 40 * MM, "lift": lift_over_turn(lobe(*CARD))}


def test_rocker_open_share_by_hand():
    # The holes part by lift/10; radii 0.5 and 0.5 mm never part within 7 mm of lift.
    assert rocker_open_share(1 * MM, 1 * MM, rest_offset=0.0, **ROCKER) == 1.0
    # Offset 0.873 mm: apart from 1.27 mm of lift, for 212 of 720 deg.
    share = rocker_open_share(1 * MM, 1 * MM, rest_offset=0.873 * MM, **ROCKER)
    assert share == pytest.approx(1 - 212 / 720, abs=2 / 720)
    assert rocker_open_share(1 * MM, 1 * MM, rest_offset=1.01 * MM, **ROCKER) == 0.0
    assert rocker_open_share(0.0, 3 * MM, rest_offset=0.0, **ROCKER) == 0.0


@given(st.floats(0, 2), st.floats(0, 2), st.floats(0, 1), st.floats(-2, 2))
def test_larger_holes_never_overlap_for_less_of_the_turn(hole, tip_hole, larger, rest_offset):
    def share(size):
        return rocker_open_share(size * MM, tip_hole * MM, rest_offset=rest_offset * MM, **ROCKER)

    assert share(hole + larger) >= share(hole)
