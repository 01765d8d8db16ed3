"""Which drawn values a number's spread comes from."""

import numpy as np
import pytest

from upfeed.flow.influence import variance_shares


def even(rows, count, seed=1):
    random = np.random.default_rng(seed)
    return np.array([(random.permutation(count) + random.random(count)) / count for _ in range(rows)])


def test_shares_of_a_sum_are_its_squared_weights():
    """For y = sum a_i x_i of independent x_i alike in spread, the variance of y is sum a_i^2 of theirs."""
    drawn, weights = even(100, 512), np.zeros(100)
    weights[[3, 40, 77]] = 3.0, -2.0, 1.0
    shares = variance_shares(drawn, weights @ drawn)
    assert shares[[3, 40, 77]] == pytest.approx(np.array([9, 4, 1]) / 14, abs=0.04)
    assert np.delete(shares, [3, 40, 77]).max() < 0.005


def test_what_has_no_part_is_not_named():
    drawn, random = even(100, 64), np.random.default_rng(5)
    named = [np.count_nonzero(variance_shares(drawn, random.random(64))) for _ in range(100)]
    assert sum(named) < 10


def test_a_rising_curve_counts_as_a_straight_line():
    drawn = even(20, 64)
    assert variance_shares(drawn, np.exp(9 * drawn[6]))[6] == pytest.approx(1.0)
    assert variance_shares(drawn, -drawn[6])[6] == pytest.approx(1.0)


def test_scale_and_zero_of_a_value_do_not_matter():
    drawn = even(30, 128)
    number = drawn[0] + 0.5 * drawn[1]
    other = drawn * np.geomspace(1e6, 1e-12, 30)[:, None] + 273.15 * (np.arange(30)[:, None] == 1)
    assert variance_shares(other, number) == pytest.approx(variance_shares(drawn, number))


@pytest.mark.parametrize("count", [1, 2, 3, 16])
def test_few_draws_and_flat_numbers_tell_nothing_and_break_nothing(count):
    drawn = even(5, count)
    assert not variance_shares(drawn, np.full(count, 3.0)).any()
    assert not variance_shares(np.ones((5, count)), drawn[0]).any()
    assert np.isfinite(variance_shares(drawn, drawn[0])).all()
    assert variance_shares(np.empty((0, count)), np.arange(float(count))).shape == (0,)
