"""A lobe from readings: what no table can be, the curve, the flank that stands for both."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from upfeed.physics.lifttable import flank_of, half_width, lift_between, table_wrong
from upfeed.physics.timing import lift_at, lobe

MM, DEG = 1e-3, np.pi / 180
LOBE = lobe(7 * MM, 0.15 * MM, 270 * DEG, 1.27 * MM, 212 * DEG)
EVERY = np.concatenate([np.arange(-80, 81, 2.0)]) * DEG
READ = np.where(np.abs(EVERY) < LOBE.half_width, lift_at(EVERY, LOBE), 0.0)
# Up in 60 degrees of cam, down in 90.
SLANTED = np.array([-75, -60, -45, -30, -15, 0, 15, 30, 45, 60, 75, 90, 105.0]) * DEG
SLANTED_LIFT = np.array([0, 0, 1.5, 4.5, 6.4, 7.0, 6.6, 5.6, 4.1, 2.5, 1.0, 0, 0]) * MM


@pytest.mark.parametrize(
    ("angle", "lift", "told"),
    [
        ([0, 1, 2], [0, 1, 0], "3 angles and 3 lifts"),
        ([0, 1, 2, 3, 4], [0, 1, 1, 0], "5 angles and 4 lifts"),
        ([0, 1, 1, 3, 4], [0, 1, 2, 1, 0], "57.3 deg after 57.3 deg"),
        ([0, 2, 1, 3, 4], [0, 1, 2, 1, 0], "57.3 deg after 114.6 deg"),
        ([0, 1, 2, 3, 7], [0, 1, 2, 1, 0], "401.1 deg of cam"),
        ([0, 1, 2, 3, 2 * np.pi], [0, 1, 2, 1, 0], "360 deg of cam; expected less than a turn"),
        ([0, 1, 2, 3, 4], [0.1, 1, 2, 1, 0], "expected 0 at both"),
        ([0, 1, 2, 3, 4], [0, 1, 2, 1, 0.1], "expected 0 at both"),
        ([0, 1, 2, 3, 4], [0, 2, 1, 2, 0], "expected one nose"),
        ([0, 1, 2, 3, 4], [0, -1, 2, 1, 0], "expected one nose"),
        ([0, 1, 2, 3, 4], [0, 0, 0, 0, 0], "no lift"),
        ([0, 1, np.nan, 3, 4], [0, 1, 2, 1, 0], "no number"),
        ([0, 1, 2, 3, 4], [0, 1, np.inf, 1, 0], "no number"),
    ],
)
def test_a_table_that_is_no_lobe_is_told(angle, lift, told):
    assert told in table_wrong(angle, lift)
    with pytest.raises(ValueError, match="check the table of lifts"):
        lift_between(0.0, angle, lift)


def test_a_table_of_a_lobe_is_one():
    assert table_wrong(EVERY, READ) == ""
    assert table_wrong(SLANTED, SLANTED_LIFT) == ""


def test_the_curve_goes_through_its_readings_and_is_0_outside():
    assert_allclose(lift_between(SLANTED, SLANTED, SLANTED_LIFT), SLANTED_LIFT, atol=1e-18)
    assert lift_between(np.array([-3.0, -1.4, 2.0, 9.0]), SLANTED, SLANTED_LIFT).tolist() == [0, 0, 0, 0]


@given(
    st.lists(st.floats(0.01, 3.0), min_size=2, max_size=6),
    st.lists(st.floats(0.01, 3.0), min_size=2, max_size=6),
)
def test_between_two_readings_the_lift_lies_between_them(up, down):
    rise, fall = np.cumsum([0, *up]), np.cumsum([0, *down])
    nose = max(rise[-1], fall[-1])
    lift = np.concatenate([rise / rise[-1] * nose, nose * (1 - fall[1:] / fall[-1])]) * MM
    lift[-1] = 0.0
    angle = np.linspace(-1, 1, lift.size)
    assert table_wrong(angle, lift) == ""
    for i in range(lift.size - 1):
        between = lift_between(np.linspace(angle[i], angle[i + 1], 30)[:-1], angle, lift)
        low, high = sorted((lift[i], lift[i + 1]))
        assert np.all((between >= low - 1e-12) & (between <= high + 1e-12))


def test_a_lobe_read_every_two_degrees_is_that_lobe():
    fine = np.linspace(-1.4, 1.4, 2001)
    # 7 mm of lift, read to 0.01 mm by any dial: the curve is nearer than that, but where the lobe leaves the heel.
    assert_allclose(lift_between(fine, EVERY, READ), lift_at(fine, LOBE), atol=0.01 * MM)


def test_the_lifted_part_of_the_turn():
    # The readings say 0 at -60 and at 90 degrees, and are lifted between: half of 150.
    assert half_width(SLANTED, SLANTED_LIFT) == pytest.approx(75 * DEG)


def test_equal_flanks_stand_for_themselves():
    states = 240
    wide = half_width(EVERY, READ)
    flank = flank_of(EVERY, READ, states)
    own = lift_between((np.arange(states) + 0.5) / states * wide, EVERY, READ)
    assert flank.shape == (states,)
    assert_allclose(flank, own, atol=0.01 * MM)


def test_both_flanks_stand_as_long_above_every_lift_as_the_one():
    flank = flank_of(SLANTED, SLANTED_LIFT, 300)
    assert np.all(np.diff(flank) <= 0)
    even = np.linspace(-60, 90, 100_001) * DEG
    lift = lift_between(even, SLANTED, SLANTED_LIFT)
    for height in (0.5 * MM, 1.27 * MM, 3 * MM, 6.5 * MM):
        assert np.mean(flank > height) == pytest.approx(np.mean(lift > height), abs=1 / 300)
    assert np.mean(flank) == pytest.approx(np.mean(lift), rel=1e-3)
