"""Growth of the stack between cam and rocker, and what it leaves of the preload."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from upfeed.physics.stack import EXPANSION, growth, hot_preload

MM, C = 1e-3, 273.15
COLD = 20 + C


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
    # block    11.0 * 230 * 75 = 189750 nm
    # head     21.0 * 120 * 85 = 214200 nm
    # pushrod  11.7 * 200 * 80 = 187200 nm
    # lifter   11.7 *  45 * 75 =  39487.5 nm
    # 500000 - 189750 - 214200 + 187200 + 39487.5 = 322737.5 nm
    assert warm_engine() == pytest.approx(322737.5e-9, rel=1e-9)


def test_an_aluminium_head_takes_more_preload_away_than_an_iron_one():
    # By hand: 10e-6 more per kelvin over 120 mm and 85 K.
    assert warm_engine(head="grey_iron") - warm_engine() == pytest.approx(102e-6, rel=1e-9)


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


@pytest.mark.parametrize(
    ("material", "low", "high"),
    [  # engineering handbooks, from memory, 1e-6/K
        ("grey_iron", 10.0, 12.0),
        ("aluminium_alloy", 20.0, 24.0),
        ("steel", 11.0, 13.0),
    ],
)
def test_expansion_lies_within_handbook_ranges(material, low, high):
    assert low <= EXPANSION[material] * 1e6 <= high
