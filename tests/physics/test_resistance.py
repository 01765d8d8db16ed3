"""Inverting dp = a mu Q + b rho Q|Q|, adding passages in series, and no way at all."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from upfeed.physics.resistance import (
    Resistance,
    conductance,
    flow,
    in_series,
    resistance,
    shared,
    through_two,
)

MU, RHO = 0.0085, 830.0
SHUT = resistance(np.inf, 0.0)
ways = st.builds(lambda a, b: resistance(10.0**a, 10.0**b), st.floats(4, 20), st.floats(0, 18))
pressures = st.floats(-1e7, 1e7)


@given(ways, pressures)
def test_the_flow_put_back_into_the_law_gives_the_pressure(way, dp):
    q = flow(dp, way, MU, RHO)
    assert_allclose(way.a * MU * q + way.b * RHO * q * np.abs(q), dp, rtol=1e-12, atol=1e-300)


@given(ways, ways, pressures)
def test_pressures_along_a_series_add_up(one, other, dp):
    q = flow(dp, in_series(one, other), MU, RHO)
    parts = [way.a * MU * q + way.b * RHO * q * np.abs(q) for way in (one, other)]
    assert_allclose(sum(parts), dp, rtol=1e-12, atol=1e-300)


@given(ways, st.floats(1.0, 1e7))
def test_conductance_is_the_derivative(way, dp):
    step = 1e-5 * dp
    slope = (flow(dp + step, way, MU, RHO) - flow(dp - step, way, MU, RHO)) / (2 * step)
    assert_allclose(conductance(dp, way, MU, RHO), slope, rtol=1e-6)


def test_worked_example():
    # By hand: 1e5 / (2.4e10 * 0.0085) = 4.902e-4 m3/s.
    assert_allclose(flow(1e5, resistance(2.4e10, 0.0), 0.0085, 830.0), 4.902e-4, rtol=1e-4)


def test_no_way_passes_nothing():
    assert flow(np.array([0.0, 1e5, -1e5]), SHUT, MU, RHO).tolist() == [0.0, 0.0, 0.0]
    assert conductance(1e5, SHUT, MU, RHO) == 0.0
    assert in_series(resistance(1e10, 1e9), SHUT) == (np.inf, 0.0)
    assert resistance(1e10, np.inf) == (np.inf, 0.0)


def test_a_passage_too_tight_for_squares_is_as_good_as_shut():
    assert flow(1e5, resistance(1e200, 0.0), MU, RHO) == 0.0


def test_nothing_in_the_way_stays_a_number():
    assert flow(0.0, resistance(0.0, 0.0), MU, RHO) == 0.0
    assert np.isfinite(conductance(0.0, resistance(0.0, 0.0), MU, RHO))


# A share of a passage


@given(ways, st.floats(1e-3, 8.0), pressures)
def test_a_share_of_a_passage_lets_that_share_by_at_every_pressure(way, share, dp):
    part = shared(way, np.array(share))
    assert_allclose(flow(dp, part, MU, RHO), share * flow(dp, way, MU, RHO), rtol=1e-12, atol=1e-300)


def test_shares_by_hand():
    # A quarter of a mu Q + b rho Q²: with 4 Q in it 4 a and 16 b. Two of it side by side: a/2 and b/4.
    way = Resistance(np.array([6.0, 6.0, 6.0]), np.array([8.0, 8.0, 8.0]))
    part = shared(way, np.array([0.25, 1.0, 2.0]))
    assert part.a.tolist() == [24.0, 6.0, 3.0]
    assert part.b.tolist() == [128.0, 8.0, 2.0]


def test_no_share_and_a_share_of_no_way_are_no_way():
    for part in (shared(resistance(6.0, 8.0), np.array(0.0)), shared(SHUT, np.array(0.5))):
        assert part == (np.inf, 0.0)
    # So small a share that its square is lost, or what is left of the passage.
    small = shared(Resistance(np.array([6.0, 6e300]), np.array([0.0, 8e300])), np.array(1e-200))
    assert small.a.tolist() == [6e200, np.inf]
    assert small.b.tolist() == [0.0, 0.0]


# A passage through two readings


def test_a_passage_through_two_readings_by_hand():
    # 4e-6 m3/s at 16e4 Pa, 0.5e-6 at 1e4: dp/Q is 4e10 and 2e10, 2e10 more for 3.5e-6 m3/s more. So b rho is
    # 5.7142857e15, b 6.7226891e12 with rho 850; a mu is 2e10 - 5.7142857e15 * 0.5e-6 = 1.7142857e10.
    found = through_two(16e4, np.array(0.5e-6), np.array(4e-6), 16.0, 0.01, 850.0)
    assert_allclose(found.b, 2e10 / 3.5e-6 / 850, rtol=1e-12)
    assert_allclose(found.b, 6.7226891e12, rtol=1e-7)
    assert_allclose(found.a, 1.7142857e12, rtol=1e-7)


@given(ways, st.floats(10.0, 1e7), st.floats(1.5, 1e3))
def test_two_readings_of_a_passage_give_it_back(way, highest, span):
    little, much = (flow(dp, way, MU, RHO) for dp in (highest / span, highest))
    found = through_two(highest, little, much, span, MU, RHO)
    for dp, read in ((highest / span, little), (highest, much)):
        assert_allclose(flow(dp, found, MU, RHO), read, rtol=1e-9)


def test_two_readings_in_proportion_are_viscous_and_by_the_root_are_inertial():
    viscous = through_two(8e4, np.array(1e-6), np.array(4e-6), 4.0, 0.01, 850.0)
    assert_allclose(viscous.a, 8e4 / (4e-6 * 0.01), rtol=1e-12)
    assert viscous.b == 0.0
    inertial = through_two(8e4, np.array(2e-6), np.array(4e-6), 4.0, 0.01, 850.0)
    assert_allclose(inertial.b, 8e4 / (4e-6**2 * 850), rtol=1e-12)
    assert_allclose(inertial.a * 0.01 * 4e-6, 0.0, atol=1e-9 * 8e4)


@pytest.mark.parametrize(("little", "much"), [(0.0, 0.0), (0.0, 1e-6), (1e-6, 1e-6), (2e-6, 1e-6)])
def test_readings_that_no_passage_gives_are_no_way(little, much):
    assert through_two(8e4, np.array(little), np.array(much), 4.0, 0.01, 850.0) == (np.inf, 0.0)


def test_readings_beyond_a_law_stop_at_its_ends():
    # More than four times the oil at four times the pressure, and less than twice: a and b do not go below nought.
    over = through_two(8e4, np.array(1e-6), np.array(5e-6), 4.0, 0.01, 850.0)
    assert (over.a, over.b) == (pytest.approx(2e4 / (1e-6 * 0.01)), 0.0)
    under = through_two(8e4, np.array(3e-6), np.array(4e-6), 4.0, 0.01, 850.0)
    assert under.a == 0.0
    assert under.b > 0.0
