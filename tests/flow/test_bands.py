"""Bounds of nine in ten draws."""

import numpy as np
import pytest

from upfeed.flow.bands import Pairs, band


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
