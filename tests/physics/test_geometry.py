"""Segments and lenses at the edges where formulas break: apart, touching, inside, equal, no size."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from upfeed.physics.geometry import circle_between, lens

# Nothing, or at least an atom: below that squares lose their digits.
lengths = st.just(0.0) | st.floats(1e-10, 10.0)


def test_circles_apart_or_touching_share_nothing():
    assert lens(2.0, 1.0, 3.0) == 0.0
    assert lens(2.0, 1.0, 1.5) == 0.0


def test_a_circle_inside_another_is_shared_whole():
    assert lens(4.0, 1.0, 0.3) == np.pi / 4
    assert lens(4.0, 1.0, 1.5) == np.pi / 4  # touching from inside
    assert lens(2.0, 2.0, 0.0) == np.pi  # the same circle


def test_a_circle_of_no_size_shares_nothing():
    assert lens(0.0, 1.0, 0.0) == 0.0
    assert lens(0.0, 0.0, 0.0) == 0.0
    assert lens(-1.0, 1.0, 0.2) == 0.0
    assert circle_between(0.0, -1.0, 1.0) == 0.0


def test_the_whole_circle_and_its_halves():
    assert circle_between(2.0, -5.0, 5.0) == np.pi
    assert circle_between(2.0, 0.0, 5.0) == np.pi / 2
    assert circle_between(2.0, 0.4, 0.1) == 0.0


@given(lengths, lengths, lengths)
def test_a_lens_is_symmetric_and_no_larger_than_either_circle(one, two, apart):
    shared = lens(one, two, apart)
    assert 0.0 <= shared <= np.pi * min(one, two) ** 2 / 4
    assert np.isclose(shared, lens(two, one, apart), rtol=1e-12, atol=1e-14)


@given(lengths, lengths, lengths, lengths)
def test_circles_drawn_together_share_no_less(one, two, apart, nearer):
    near, far = sorted((apart, nearer))
    assert lens(one, two, near) >= lens(one, two, far) * (1 - 1e-9) - 1e-12
