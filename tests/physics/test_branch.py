"""One passage, then two ways side by side: balance, symmetry, shut ways, an independent root finder."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from upfeed.physics.branch import flow_through_pair, pressure_over_pair, pressure_over_pairs
from upfeed.physics.resistance import Ways, conductance, flow, in_series, resistance

MU, RHO = 0.0085, 830.0
SHUT = resistance(np.inf, 0.0)

ways = st.builds(lambda a, b: resistance(10.0**a, 10.0**b), st.floats(6, 20), st.floats(6, 18))
pressures = st.floats(-6, 7).map(lambda e: 10.0**e)


@given(ways, ways, ways, pressures)
@settings(max_examples=300)
def test_the_flow_agrees_with_a_bracketing_root_finder(series, first, second, dp):
    def excess(p):
        return float(flow(p, first, MU, RHO) + flow(p, second, MU, RHO) - flow(dp - p, series, MU, RHO))

    p = brentq(excess, 0.0, dp, xtol=1e-300, rtol=8.9e-16)
    pair = float(flow(p, first, MU, RHO) + flow(p, second, MU, RHO))
    expected = pair if p > dp / 2 else float(flow(dp - p, series, MU, RHO))
    assert_allclose(flow_through_pair(dp, series, first, second, MU, RHO)[0], expected, rtol=1e-13)


@given(ways, ways, ways, pressures)
def test_the_slope_is_the_derivative(series, first, second, dp):
    step = 1e-5 * dp
    ahead = flow_through_pair(dp + step, series, first, second, MU, RHO)[0]
    behind = flow_through_pair(dp - step, series, first, second, MU, RHO)[0]
    assert_allclose(
        flow_through_pair(dp, series, first, second, MU, RHO)[1], (ahead - behind) / (2 * step), rtol=1e-6
    )


@given(ways, ways, ways, pressures)
def test_the_flow_turns_round_with_the_pressure(series, first, second, dp):
    forwards = flow_through_pair(dp, series, first, second, MU, RHO)
    backwards = flow_through_pair(-dp, series, first, second, MU, RHO)
    assert backwards[0] == -forwards[0]
    assert backwards[1] == forwards[1]


@given(ways, ways, pressures)
def test_one_shut_way_leaves_a_plain_series(series, first, dp):
    chain = in_series(series, first)
    for pair in ((first, SHUT), (SHUT, first)):
        through, slope = flow_through_pair(dp, series, *pair, MU, RHO)
        assert_allclose(through, flow(dp, chain, MU, RHO), rtol=1e-13)
        assert_allclose(slope, conductance(dp, chain, MU, RHO), rtol=1e-9)


@given(ways, ways, pressures)
def test_two_equal_ways_carry_half_each(series, way, dp):
    # Half the flow through each way: a/2 and b/4 stand for both, the textbook sum for equal ways.
    both = in_series(series, resistance(way.a / 2, way.b / 4))
    assert_allclose(flow_through_pair(dp, series, way, way, MU, RHO)[0], flow(dp, both, MU, RHO), rtol=1e-12)


def test_shut_passages_pass_nothing_and_stay_numbers():
    way = resistance(1e12, 1e11)
    for series, first, second in ((SHUT, way, way), (way, SHUT, SHUT), (SHUT, SHUT, SHUT), (SHUT, way, SHUT)):
        for dp in (0.0, 1e5, -1e5):
            assert flow_through_pair(dp, series, first, second, MU, RHO) == (0.0, 0.0)
    assert pressure_over_pair(1e5, way, SHUT, SHUT, MU, RHO) == 1e5
    assert pressure_over_pair(1e5, SHUT, way, SHUT, MU, RHO) == 0.0


def test_no_pressure_no_flow_but_a_slope():
    way = resistance(1e12, 1e11)
    through, slope = flow_through_pair(0.0, way, way, way, MU, RHO)
    assert through == 0.0
    assert_allclose(slope, 1 / (1.5e12 * MU), rtol=1e-14)  # by hand: a + a/2


def test_arrays_broadcast_and_each_element_stands_alone():
    rng = np.random.default_rng(3)
    shape = (3, 4, 16)
    series, first, second = (
        resistance(10 ** rng.uniform(9, 16, shape), 10 ** rng.uniform(8, 14, shape)) for _ in range(3)
    )
    dp = rng.uniform(-3e5, 3e5, (3, 4, 1))
    mu, rho = np.full((3, 1, 1), MU), np.full((3, 1, 1), RHO)
    through, slope = flow_through_pair(dp, series, first, second, mu, rho)
    assert through.shape == slope.shape == shape
    for index in np.ndindex(shape):
        alone = [resistance(way.a[index], way.b[index]) for way in (series, first, second)]
        assert (through[index], slope[index]) == flow_through_pair(dp[index[:2]][0], *alone, MU, RHO)


@given(ways, st.tuples(ways, ways), st.tuples(ways, ways), pressures)
@settings(max_examples=100)
def test_two_pairs_in_a_row_pass_the_same_oil(series, one, other, dp):
    drop, mu, rho = np.array([dp]), np.array([MU]), np.array([RHO])
    over = pressure_over_pairs(drop, series, Ways(*one), Ways(*other), mu, rho)
    first, second = (
        sum(flow(p, way, MU, RHO) for way in pair) for p, pair in zip(over, (one, other), strict=True)
    )
    between = flow(drop - over[0] - over[1], series, MU, RHO)
    # What is a sliver of the whole drop is known to its rounding only.
    slack = (
        1e-13
        * dp
        * sum(
            conductance(p, way, MU, RHO) for p, pair in zip(over, (one, other), strict=True) for way in pair
        )
    )
    slack += 1e-13 * dp * conductance(drop - over[0] - over[1], series, MU, RHO)
    assert (np.abs(first - second) <= 1e-9 * first + slack).all()
    assert (np.abs(first - between) <= 1e-9 * first + slack).all()


@given(ways, st.tuples(ways, ways), ways, pressures)
@settings(max_examples=100)
def test_two_pairs_of_which_one_is_single_are_one_pair_and_a_longer_row(series, one, other, dp):
    drop, mu, rho = np.array([dp]), np.array([MU]), np.array([RHO])
    over, _ = pressure_over_pairs(drop, series, Ways(*one), Ways(other, SHUT), mu, rho)
    expected = pressure_over_pair(drop, in_series(series, other), *one, MU, RHO)
    assert_allclose(over, expected, rtol=1e-9, atol=1e-12 * dp)
