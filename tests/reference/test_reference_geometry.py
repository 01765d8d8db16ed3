"""Areas of segments and lenses against a geometry library and printed values."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from shapely import Point, box

from upfeed.physics.geometry import circle_between, lens

# shapely draws a circle as a polygon inside it; 1024 sides a quarter leave each sector short by 4e-7.
SIDES, WITHIN = 1024, 3e-6
sizes = st.floats(0.05, 20.0)


def circle(radius, x=0.0):
    return Point(x, 0).buffer(radius, quad_segs=SIDES)


def test_listed_segment():
    # r² acos(1 - h/r) - (r - h) sqrt(2 r h - h²), R 1, h 0.5 (textbook formula).
    assert circle_between(2.0, 0.5, 1.0) == pytest.approx(0.6141848493, abs=1e-10)


@pytest.mark.parametrize(
    ("one", "two", "apart", "area"),
    [  # textbook formula of two circles, worked to ten digits
        (1, 1, 1, 1.2283696986),
        (1.5, 1, 1.2, 1.9308918644),
        (2, 0.75, 1.9, 0.9617396099),
    ],
)
def test_listed_lenses(one, two, apart, area):
    assert lens(2 * one, 2 * two, apart) == pytest.approx(area, abs=1e-9)


@given(sizes, st.floats(-1.2, 1.2), st.floats(0.0, 2.4))
@settings(deadline=None)
def test_segments_against_shapely(radius, low, height):
    low, high = low * radius, (low + height) * radius
    cut = circle(radius).intersection(box(-2 * radius, low, 2 * radius, high)).area
    assert_allclose(circle_between(2 * radius, low, high), cut, rtol=WITHIN, atol=WITHIN * radius**2)


@given(sizes, sizes, st.floats(0.0, 1.2))
@settings(deadline=None)
def test_lenses_against_shapely(one, two, share):
    apart = share * (one + two)
    common = circle(one).intersection(circle(two, apart)).area
    # Two flat arcs of large circles can bound a small lens: what is short goes with their sectors.
    assert_allclose(lens(2 * one, 2 * two, apart), common, rtol=WITHIN, atol=WITHIN * one * two)


def test_shapely_in_arrays():
    radii = np.array([0.6, 1.0, 2.5])
    expected = [circle(1.0).intersection(circle(r, 1.3)).area for r in radii]
    assert_allclose(lens(2.0, 2 * radii, 1.3), expected, rtol=WITHIN)
