"""Inverting dp = a mu Q + b rho Q|Q|, adding passages in series, and no way at all."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from upfeed.physics.resistance import conductance, flow, in_series, resistance

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
