"""Oil at temperatures: lines through their own points, monotone, on arrays."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from upfeed.physics.grades import grades_of, viscosity_index
from upfeed.physics.oil import density, kinematic_viscosity, oil_at, walther

CST, C = 1e-6, 273.15
oils = st.tuples(st.floats(2.0, 30.0), st.floats(4.0, 15.0)).map(lambda o: (o[0] * o[1] * CST, o[0] * CST))


@given(oils)
def test_a_line_goes_through_its_own_points(oil):
    line = walther(oil[0], 40 + C, oil[1], 100 + C)
    assert_allclose(kinematic_viscosity(40 + C, line), oil[0], rtol=1e-9)
    # Near 2 cSt the standard's two exponentials undo each other to 1e-4.
    assert_allclose(kinematic_viscosity(100 + C, line), oil[1], rtol=1e-4)


@given(oils, st.floats(-30, 150), st.floats(0.1, 50))
def test_warmer_oil_is_thinner_and_lighter(oil, celsius, warmer):
    mu, rho = oil_at(np.array([celsius, celsius + warmer]) + C, oil[0], oil[1], 870.0)
    assert mu[1] < mu[0]
    assert rho[1] < rho[0]


@given(st.floats(700, 1100))
def test_density_at_15_c_is_what_was_given(density_15):
    assert_allclose(density(15 + C, density_15), density_15, rtol=1e-13)


def test_dynamic_viscosity_is_kinematic_times_density():
    mu, rho = oil_at(100 + C, 100 * CST, 14 * CST, 870.0)
    assert_allclose(mu, 14e-6 * rho, rtol=1e-9)
    assert rho == pytest.approx(815.5, abs=0.5)


def test_cases_by_points():
    mu, rho = oil_at(np.array([20.0, 100.0, 150.0]) + C, np.array([[100e-6], [60e-6]]), 12e-6, 870.0)
    assert mu.shape == (2, 3)
    assert rho.shape == (3,)


def test_grades_and_their_edges():
    assert grades_of(9.3 * CST) == ("30",)
    assert 12.5 * CST < 12.5e-6  # by a last binary digit
    assert grades_of(12.499 * CST) == ("30",)
    assert grades_of(12.5 * CST) == ("40",)
    assert grades_of(7.0 * CST) == ("12", "16", "20")
    assert grades_of(3.9 * CST) == ()
    assert grades_of(26.1 * CST) == ()


def test_viscosity_index_below_its_range_is_told():
    with pytest.raises(ValueError, match=r"1\.9 cSt at 100 C; the viscosity index begins at 2 cSt"):
        viscosity_index(5 * CST, np.array([4.0, 1.9]) * CST)
