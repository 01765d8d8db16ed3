"""The curve through measured lifts against a numerical library."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.interpolate import PchipInterpolator

from upfeed.physics.lifttable import lift_between

steps = st.lists(st.floats(0.01, 0.3), min_size=2, max_size=8)
rises = st.lists(st.floats(0.05, 2.0), min_size=2, max_size=8)


@given(steps, rises, rises)
def test_the_curve_is_the_librarys(widths, up, down):
    # Fritsch and Carlson 1980 in scipy. A heel of three more zeros each side gives it the flat ends a lobe has.
    rise = np.cumsum([0.0, *up])
    fall = rise[-1] * (1 - np.cumsum(down) / np.sum(down))
    lift = np.concatenate([rise, fall]) * 1e-3
    lift[-1] = 0.0
    angle = np.cumsum(np.resize(widths, lift.size))
    heel = np.arange(1, 4) * 0.1
    library = PchipInterpolator(
        np.concatenate([angle[0] - heel[::-1], angle, angle[-1] + heel]), np.pad(lift, 3)
    )
    if angle[-1] - angle[0] >= 2 * np.pi:
        return
    at = np.linspace(angle[0], angle[-1], 400)[1:-1]
    assert_allclose(lift_between(at, angle, lift), library(at), atol=1e-12)


def test_a_printed_example():
    # By hand: 0, 1, 4, 1, 0 at -2...2. Slopes 1 and 3 meet at -1: harmonic mean 1.5; the nose is flat. At -0.5:
    # (1 + 4)/2 + (1.5 - 0)/8 = 2.6875.
    assert lift_between(-0.5, [-2, -1, 0, 1, 2], [0, 1, 4, 1, 0]) == pytest.approx(2.6875, rel=1e-12)
