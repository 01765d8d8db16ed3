"""Preload from heights, the growth of the stack between cam and rocker, and what it leaves of the preload."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from upfeed.physics.stack import (
    EXPANSION,
    at_the_cup,
    cold_preload,
    growth,
    hot_preload,
    needed_length,
    travel_left,
)

MM, THOU, C = 1e-3, 25.4e-6, 273.15
COLD = 20 + C
HEIGHTS = {
    "base_circle_radius": 550.0,
    "cup_height": 1750.0,
    "pushrod": 9500.0,
    "cup_drop": 200.0,
    "deck": 7600.0,
    "gasket": 40.0,
    "pivot": 4335.0,
    "proud": 0.0,
}


def stacked(ratio=1.5, **changed):
    """Cold preload, thou, of a fixed rocker shaft, heights in thou."""
    h = {**HEIGHTS, **changed}
    follows = [h[name] for name in ("base_circle_radius", "cup_height", "pushrod", "cup_drop")]
    return cold_preload(
        [*follows, at_the_cup(h["proud"], ratio)], [h[name] for name in ("deck", "gasket", "pivot")]
    )


def test_a_stack_by_hand():
    # From the cam's centre up to the rocker's cup:   7600 deck + 40 gasket + 4335 pivot - 200 drop  = 11775 thou
    # What stands there, plunger at its retainer:     550 base circle + 1750 cup + 9500 pushrod      = 11800 thou
    # The pushrod is 25 thou too long for the gap, and pushes the plunger in by as much.
    assert stacked() == pytest.approx(25.0, abs=1e-9)


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({"pushrod": 9510}, 35),  # ten thou of pushrod are ten thou of preload
        ({"base_circle_radius": 520}, -5),  # reground 30 thou smaller in radius: 5 thou of lash
        ({"gasket": 70}, -5),
        ({"pivot": 4325}, 35),  # ten thou milled off the head
        ({"deck": 7590}, 35),
        ({"proud": 30}, 45),  # seats cut: 30 thou at the stem are 30 / 1.5 = 20 at the cup
        ({"proud": -30}, 5),  # tips ground off
    ],
)
def test_what_a_change_of_one_height_does_by_hand(changed, expected):
    assert stacked(**changed) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("name", HEIGHTS)
@given(low=st.floats(-100, 100), high=st.floats(-100, 100))
def test_every_height_only_adds_or_only_takes(name, low, high):
    low, high = sorted((low, high))
    gained = stacked(**{name: HEIGHTS[name] + high}) - stacked(**{name: HEIGHTS[name] + low})
    takes = name in ("deck", "gasket", "pivot")
    assert (gained <= 1e-9) if takes else (gained >= -1e-9)


def warm_engine(preload=0.5 * MM, block="grey_iron", head="aluminium_alloy", pushrod_at=100.0):
    parting = (
        growth(EXPANSION[block], 230 * MM, 95 + C, COLD),
        growth(EXPANSION[head], 120 * MM, 105 + C, COLD),
    )
    following = (
        growth(EXPANSION["steel"], 200 * MM, pushrod_at + C, COLD),
        growth(EXPANSION["steel"], 45 * MM, 95 + C, COLD),
    )
    return hot_preload(preload, parting, following)


def test_worked_example():
    # By hand, 1e-6 x mm x K = nm:
    # block    11.4 * 230 * 75 = 196650 nm
    # head     21.5 * 120 * 85 = 219300 nm
    # pushrod  11.7 * 200 * 80 = 187200 nm
    # lifter   11.7 *  45 * 75 =  39487.5 nm
    # 500000 - 196650 - 219300 + 187200 + 39487.5 = 310737.5 nm
    assert warm_engine() == pytest.approx(310737.5e-9, rel=1e-9)


def test_an_aluminium_head_takes_more_preload_away_than_an_iron_one():
    # By hand: 10.1e-6 more per kelvin over 120 mm and 85 K.
    assert warm_engine(head="grey_iron") - warm_engine() == pytest.approx(103.02e-6, rel=1e-9)


def test_a_cold_engine_keeps_its_preload():
    parts = (growth(alpha, 0.2, COLD, COLD) for alpha in EXPANSION.values())
    assert hot_preload(0.5 * MM, parts, ()) == 0.5 * MM


@given(st.floats(20, 150), st.floats(20, 150))
def test_a_hotter_pushrod_never_leaves_less(temperature, other):
    cooler, hotter = sorted((temperature, other))
    assert warm_engine(pushrod_at=hotter) >= warm_engine(pushrod_at=cooler)


def test_cases_by_points():
    preload = np.array([[0.5], [0.25], [0.0]]) * MM
    head = growth(np.array([[21e-6], [11e-6], [21e-6]]), 0.12, np.array([105.0, 20.0]) + C, COLD)
    left = hot_preload(preload, (head,), ())
    assert left.shape == (3, 2)
    assert_allclose(left[:, 1], preload[:, 0], atol=1e-18)
    assert left[2, 0] == pytest.approx(-0.2142 * MM, rel=1e-9)


@pytest.mark.parametrize(("preload", "left"), [(60, 90), (150, 0), (160, -10), (0, 150), (-20, 150)])
def test_plunger_travel_left_by_hand(preload, left):
    assert travel_left(150 * THOU, preload * THOU) == pytest.approx(left * THOU, abs=1e-12)


def test_the_pushrod_that_gives_a_wanted_preload():
    assert needed_length(9.500, 0.005, 0.025, 0.0) == pytest.approx(9.520, abs=1e-12)
    # Hot the rod is longer by 11.7e-6 * 80 = 0.000936 of itself, and so is what is added to it.
    stretch = 11.7e-6 * 80
    longer = needed_length(9.500, 0.005, 0.025, stretch)
    assert (longer - 9.500) * (1 + stretch) == pytest.approx(0.020, rel=1e-9)


@given(st.floats(-200, 200), st.floats(-200, 200))
def test_fitting_the_needed_pushrod_gives_the_wanted_preload(pushrod, wanted):
    needed = needed_length(9500 + pushrod, stacked(pushrod=9500 + pushrod), wanted, 0.0)
    assert stacked(pushrod=needed) == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize(
    ("material", "low", "high"),
    [
        # Range of typical values by material group, table of thermal expansion in an engineering handbook, 1e-6/K: grey
        # cast iron 11, aluminium alloys 21-25, carbon steels 11-15, martensitic stainless 10-12, austenitic stainless
        # 16-18, titanium alloys 9-13 at high temperature; Callister gives Ti-6Al-4V 8.6.
        ("grey_iron", 10.5, 11.5),
        ("aluminium_alloy", 21.0, 25.0),
        ("steel", 11.0, 15.0),
        ("martensitic_steel", 10.0, 12.0),
        ("austenitic_steel", 16.0, 18.0),
        ("titanium", 8.5, 13.0),
    ],
)
def test_expansion_lies_within_handbook_ranges(material, low, high):
    assert low <= EXPANSION[material] * 1e6 <= high


@pytest.mark.parametrize(
    ("material", "told"), [("grey_iron", 11.4), ("aluminium_alloy", 21.5), ("titanium", 8.6)]
)
def test_materials_expand_as_the_table_names_them(material, told):
    """Callister and Rethwisch, appendix B, 1e-6/K: grey iron, casting alloy 356.0, Ti-6Al-4V."""
    assert EXPANSION[material] * 1e6 == pytest.approx(told, rel=1e-9)
