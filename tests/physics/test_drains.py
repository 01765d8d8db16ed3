"""What may never happen on the way down, whatever the drains, the oil and the gas."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.physics.drains import depth_for, drain_flow
from upfeed.physics.flooding import flooding_limit
from upfeed.physics.pan import time_between_levels, wall_oil

DIAMETER, LENGTH = st.floats(1e-3, 60e-3), st.floats(1e-3, 0.5)
DEPTH, MU = st.floats(0.0, 0.15), st.floats(2e-3, 5.0)
PRESSURE, GAS, OIL = st.floats(-2e3, 2e3), st.floats(0.0, 5e-3), st.floats(0.0, 1e-3)
MORE = st.floats(1.0, 10.0)
ROUNDING = 1 + 1e-12


@given(DEPTH, DIAMETER, LENGTH, PRESSURE, MU, MORE)
def test_thinner_oil_more_head_and_a_wider_hole_never_drain_slower(depth, diameter, length, p, mu, more):
    passed = drain_flow(depth, diameter, length, p, mu, 850.0)
    assert drain_flow(depth, diameter, length, p, mu / more, 850.0) * ROUNDING >= passed
    assert drain_flow(depth * more, diameter, length, p, mu, 850.0) * ROUNDING >= passed
    assert drain_flow(depth, diameter * more, length, p, mu, 850.0) * ROUNDING >= passed
    assert drain_flow(depth, diameter, length, p - 10 * more, mu, 850.0) * ROUNDING >= passed


@given(OIL, DIAMETER, LENGTH, PRESSURE, MU, st.integers(1, 40))
def test_more_drains_never_raise_the_depth(oil, diameter, length, p, mu, count):
    few, more = (depth_for(oil / n, diameter, length, p, mu, 850.0) for n in (count, count + 1))
    assert more <= few * ROUNDING


@given(GAS, DIAMETER, MU, MORE)
def test_more_gas_never_lets_more_oil_down_and_thinner_oil_never_less(gas, diameter, mu, more):
    limit = flooding_limit(gas, diameter, mu, 850.0, 0.95)
    assert 0.0 <= flooding_limit(gas * more, diameter, mu, 850.0, 0.95) <= limit * ROUNDING
    assert flooding_limit(gas, diameter, mu / more, 850.0, 0.95) * ROUNDING >= limit
    assert flooding_limit(gas, diameter * more, mu, 850.0, 0.95) * ROUNDING >= limit


@given(GAS, st.integers(1, 40), DIAMETER, MU)
def test_gas_shared_by_more_holes_holds_less_oil_up(gas, count, diameter, mu):
    few, more = (n * flooding_limit(gas / n, diameter, mu, 850.0, 0.95) for n in (count, count + 1))
    assert more * ROUNDING >= few


def test_no_oil_comes_down_where_enough_gas_rises():
    # By hand for C 0.75: jg* = 0.5625 at jg = 0.5625 sqrt(g 0.011 815/0.946) = 5.42 m/s, 31 L/min in 11 mm.
    area = np.pi / 4 * 0.011**2
    assert flooding_limit(5.5 * area, 0.011, 8.5e-3, 816.0, 0.946) == 0.0
    assert flooding_limit(5.3 * area, 0.011, 8.5e-3, 816.0, 0.946) > 0.0


def test_a_drain_under_more_pressure_than_head_passes_nothing_until_the_head_makes_up():
    # 20 mm of drain and oil of 850 kg/m3 hold 167 Pa; 250 Pa ask for 10 mm over the mouth.
    assert drain_flow(9e-3, 11e-3, 20e-3, 250.0, 8.5e-3, 850.0) == 0.0
    assert depth_for(1e-9, 11e-3, 20e-3, 250.0, 8.5e-3, 850.0) == pytest.approx(10e-3, rel=0.01)
    assert depth_for(0.0, 11e-3, 20e-3, 250.0, 8.5e-3, 850.0) == 0.0


def test_a_level_that_stands_still_on_the_way_never_arrives():
    def outflow(depth):
        return 1e-2 * depth

    times = time_between_levels(np.array([1e-4, 2e-4, 3e-4]), outflow, 0.03, 0.0, 0.02)
    assert np.isinf(times).tolist() == [True, True, False]
    assert time_between_levels(1e-4, outflow, 0.03, 0.005, 0.005) == 0.0


def test_a_film_grows_with_the_cube_root_of_what_runs_down():
    assert wall_oil(8e-4, 1.0, 0.3, 1e-5) == pytest.approx(2 * wall_oil(1e-4, 1.0, 0.3, 1e-5))
    assert wall_oil(0.0, 1.0, 0.3, 1e-5) == 0.0
