"""Turns of adjusters against pitches of published threads and a lever drawn to scale."""

import math

import pytest

from upfeed.physics.adjuster import per_turn_of_nut, turns

# ASME B1.1, unified fine: 3/8-24 and 7/16-20. ISO 261: M8 x 1, M10 x 1.25.
PITCHES = {"3/8-24": 25.4e-3 / 24, "7/16-20": 25.4e-3 / 20, "M8 x 1": 1.0e-3, "M10 x 1.25": 1.25e-3}


def cup_goes_down(pitch, ratio, arm=0.030):
    """By coordinates: the valve's tip stays, the pivot goes down, the cup lies on the line through both."""
    tip = (ratio * arm, 0.0)
    pivot = (0.0, -pitch)
    slope = (pivot[1] - tip[1]) / (pivot[0] - tip[0])
    return -(pivot[1] - slope * arm)


@pytest.mark.parametrize("pitch", PITCHES.values(), ids=PITCHES)
@pytest.mark.parametrize("ratio", [1.1, 1.5, 1.73])
def test_a_nut_on_the_pivot_moves_the_cup_by_the_lever(pitch, ratio):
    assert per_turn_of_nut(pitch, ratio) == pytest.approx(cup_goes_down(pitch, ratio), rel=1e-12)


def test_turns_worked_by_hand():
    # 0.025 in of preload, 24 threads an inch, ratio 1.5: 0.025 / (1/24 * 5/3) = 0.36 turns.
    assert turns(0.025 * 25.4e-3, per_turn_of_nut(PITCHES["3/8-24"], 1.5)) == pytest.approx(0.36)
    # A screw over the pushrod, M8 x 1: half a millimetre is half a turn.
    assert turns(0.5e-3, PITCHES["M8 x 1"]) == pytest.approx(0.5)
    assert math.isclose(turns(-0.25e-3, PITCHES["M8 x 1"]), -0.25)
