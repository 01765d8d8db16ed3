"""Bounds of nine in ten draws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.flow.bands import ENDS, Pairs, band
from upfeed.flow.facts import rounded


def test_percentiles_are_those_of_numpy_under_each_limit_and_the_wider_of_both():
    one, other = np.arange(101.0), np.arange(101.0) + 50
    assert band(tuple(one), 101) == pytest.approx((5.0, 95.0))
    assert band((*one, *other), 101) == pytest.approx((5.0, 145.0))
    assert band((1.0, None, 3.0), 3) is None
    assert band(("lifter.feed_hole",) * 3, 3) is None


def test_ratios_are_taken_draw_by_draw():
    column = tuple(float(x) for x in range(1, 12))
    assert Pairs(11, column, column).ratio_band == (1.0, 1.0)
    assert Pairs(11, column, tuple(2 * x for x in column)).ratio_band == (0.5, 0.5)
    assert Pairs(11, column, (0.0, *column[1:])).ratio_band is None


@given(
    draws=st.integers(1, 80).flatmap(
        lambda count: st.lists(
            st.lists(st.floats(-1e9, 1e9, width=64), min_size=count, max_size=count), min_size=1, max_size=2
        )
    )
)
def test_percentiles_are_numpys_to_the_bit(draws):
    ends = np.quantile(draws, ENDS, axis=1)
    found = band(tuple(value for limit in draws for value in limit), len(draws[0]))
    assert found == (rounded(ends[0].min()), rounded(ends[1].max()))
