"""Pump, pickup and filter by hand, and what may never happen."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.physics.resistance import flow
from upfeed.physics.supply import displaced, filter_element, most_drawn, slip, spring_valve

RPM = 2 * math.pi / 60
ELEMENT = filter_element(10e-3 / 60, 1e4, 0.01)


def test_a_pump_moves_what_it_displaces():
    assert displaced(13.5e-6, 0.5, 650 * RPM) == pytest.approx(13.5e-6 * 325 / 60)


def test_a_filter_passes_what_it_was_rated_at():
    assert flow(1e4, ELEMENT, 0.01, 850.0) == pytest.approx(10e-3 / 60)
    # Darcy: twice the pressure, half the viscosity: four times the flow.
    assert flow(2e4, ELEMENT, 0.005, 850.0) == pytest.approx(40e-3 / 60)
    assert filter_element(0.0, 1e4, 0.01) == (np.inf, 0.0)


def test_a_spring_holds_a_valve_shut_up_to_its_opening_and_against_backwards_flow():
    past, rise = spring_valve(np.array([-1e5, 0.0, 0.4e5, 0.8e5]), 0.8e5, 5e-9)
    assert past.tolist() == [0.0] * 4
    assert rise.tolist() == [0.0] * 4


def test_an_open_valve_passes_what_its_slope_says():
    # By hand: 0.4 bar past its opening, 5e-9 m3/s/Pa.
    past, rise = spring_valve(1.2e5, 0.8e5, 5e-9)
    assert past == pytest.approx(2e-4)
    assert rise == 5e-9


@pytest.mark.parametrize("slope", [0.0, 5e-9])
def test_no_valve_is_one_that_never_opens(slope):
    assert [float(part) for part in spring_valve(5e5, np.inf, slope)] == [0.0, 0.0]


@given(st.floats(-1e6, 1e6), st.floats(0.0, 1e6), st.floats(0.3e5, 2e5))
def test_more_pressure_never_lets_less_past_a_valve(dp, further, opens):
    assert spring_valve(dp + further, opens, 5e-9)[0] >= spring_valve(dp, opens, 5e-9)[0]


def test_a_valve_rises_at_full_slope_from_the_first_pascal():
    assert [float(part) for part in spring_valve(0.8e5 + 0.5, 0.8e5, 5e-9)] == [2.5e-9, 5e-9]


@given(st.floats(1.0, 3e5), st.floats(0.3e5, 2e5))
def test_the_slope_of_a_valve_is_its_derivative(dp, opens):
    step = 1e-4 * dp
    if abs(dp - opens) <= 2 * step:
        return
    rise = (spring_valve(dp + step, opens, 5e-9)[0] - spring_valve(dp - step, opens, 5e-9)[0]) / (2 * step)
    assert spring_valve(dp, opens, 5e-9)[1] == pytest.approx(float(rise), rel=1e-6)


@given(st.floats(5e-3, 30e-3), st.floats(0.05, 0.5), st.floats(1e-3, 20.0), st.floats(1.0, 3.0))
def test_a_wider_shorter_pickup_and_thinner_oil_never_draw_less(diameter, length, mu, more):
    drawn = most_drawn(diameter, length, mu, 880.0)
    assert most_drawn(diameter * more, length, mu, 880.0) >= drawn
    assert most_drawn(diameter, length * more, mu, 880.0) <= drawn
    assert most_drawn(diameter, length, mu * more, 880.0) <= drawn


def test_a_pump_without_slip_has_no_way_back():
    assert slip(0.0) == (np.inf, 0.0)
