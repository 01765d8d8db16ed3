"""What a turning journal adds to what pressure drives through its bearing."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.physics.sideflow import STARVED, drawn_flow, side_flow

flows = st.floats(1e-12, 1e-3)


def total(fed, drawn):
    return side_flow(fed, 1.0, drawn)[0]


def test_the_sum_by_hand():
    # Qp + Qh - 0.3 sqrt(Qp Qh): 9 + 4 - 0.3 * 6; 1 + 1 - 0.3.
    assert total(np.array([9.0, 1.0]), np.array([4.0, 1.0])) == pytest.approx([11.2, 1.7])


def test_drawn_by_hand():
    # U c L e: 100 rad/s * 25 mm * 30 um * 20 mm * 0.5.
    assert drawn_flow(50e-3, 60e-6, 10e-3, 0.5, 100.0) == pytest.approx(2.5 * 30e-6 * 20e-3 * 0.5)
    assert drawn_flow(50e-3, 60e-6, 10e-3, 0.5, -100.0) == drawn_flow(50e-3, 60e-6, 10e-3, 0.5, 100.0)
    assert drawn_flow(50e-3, 60e-6, 10e-3, 0.0, 100.0) == 0.0
    assert drawn_flow(50e-3, -60e-6, 10e-3, 0.5, 100.0) == 0.0


def test_a_still_journal_draws_nothing():
    assert side_flow(3.0, 2.0, 0.0) == (3.0, 2.0)
    assert side_flow(0.0, 2.0, 0.0) == (0.0, 2.0)


def test_backwards_only_pressure_counts():
    assert side_flow(-3.0, 2.0, 1.0) == (-3.0, 2.0)


@given(flows, flows, flows)
def test_more_pressure_never_lets_less_by(fed, further, drawn):
    assert total(fed + further, drawn) >= total(fed, drawn) * (1 - 1e-12)


@given(flows, flows)
def test_turning_takes_no_more_than_both_and_hardly_less_than_pressure_alone(fed, drawn):
    # By hand: 1 - 0.3 x + x², x² = Qh/Qp, is least at x = 0.15: 0.9775.
    assert 0.9775 * fed * (1 - 1e-12) <= total(fed, drawn) <= (fed + drawn) * (1 + 1e-12)


@given(st.floats(1e-9, 1e-3), st.floats(0.001, 100.0))
def test_the_slope_is_the_derivative(drawn, share):
    fed = share * drawn
    step = 1e-6 * fed
    if abs(share - STARVED) < 1e-4 * STARVED:
        return
    _, slope = side_flow(fed, 1.0, drawn)
    assert (total(fed + step, drawn) - total(fed - step, drawn)) / (2 * step) == pytest.approx(
        float(slope), rel=1e-5, abs=1e-6
    )


def test_it_runs_on_without_a_step_where_it_starves():
    drawn = 1.0
    below, above = total(STARVED * (1 - 1e-9), drawn), total(STARVED * (1 + 1e-9), drawn)
    # By hand: 0.0225 + 1 - 0.3 * 0.15 = 0.9775.
    assert below == pytest.approx(0.9775, rel=1e-8)
    assert above == pytest.approx(0.9775, rel=1e-8)
    assert total(0.0, drawn) == 0.0
    assert total(STARVED / 2, drawn) == pytest.approx(0.9775 / 2)
