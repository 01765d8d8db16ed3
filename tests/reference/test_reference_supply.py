"""Pump, pickup and side flow against printed figures and a pipe library."""

import math

import pytest
from fluids import one_phase_dP
from hypothesis import given
from hypothesis import strategies as st

from upfeed.physics.resistance import flow
from upfeed.physics.sideflow import side_flow
from upfeed.physics.supply import SUCTION, displaced, most_drawn, slip

RPM = 2 * math.pi / 60
LITRE_A_MINUTE = 1e-3 / 60


@pytest.mark.parametrize(("viscosity", "litres"), [(10e-3, 16.2), (5e-3, 14.4)])
def test_a_pump_less_its_slip(viscosity, litres):
    # Textbook form Q = D N - k dp/mu: 12 cm3/rev, k 8.5714e-13 m3, 1500 rpm, 3.5 bar.
    moved = displaced(12e-6, 1.0, 1500 * RPM)
    delivered = moved - flow(3.5e5, slip(8.5714e-13), viscosity, 850.0)
    assert delivered / LITRE_A_MINUTE == pytest.approx(litres, abs=1e-3)


def test_cold_suction():
    # Common practice, no source: 60 kPa at most across a pickup; a way of 14 mm by 176 mm then gives 5.5 L/min of
    # oil of 3.5 Pa s (by hand, 128 L/(pi d^4) alone). Its ends take half a per cent.
    assert SUCTION == 60e3
    assert most_drawn(14e-3, 176e-3, 3.5, 880.0) / LITRE_A_MINUTE == pytest.approx(5.5, rel=0.01)


@pytest.mark.parametrize(("diameter", "length", "viscosity"), [(14e-3, 176e-3, 3.5), (16e-3, 180e-3, 1.0)])
def test_a_pickup_against_the_pipe_library(diameter, length, viscosity):
    # fluids: friction alone in a pipe; laminar here, so what is left to the 60 kPa are the ends, 2.3 speed heads.
    drawn = float(most_drawn(diameter, length, viscosity, 880.0))
    friction = one_phase_dP(m=880.0 * drawn, rho=880.0, mu=viscosity, D=diameter, L=length)
    heads = 2.3 * 880.0 / 2 * (drawn / (math.pi * diameter**2 / 4)) ** 2
    assert friction + heads == pytest.approx(SUCTION, rel=1e-9)


@given(st.floats(1e-9, 1e-4), st.floats(0.0226, 1e3))
def test_side_flow_is_the_handbooks_sum(drawn, share):
    # Q = Qp + Qh - 0.3 sqrt(Qp Qh) (Martin and Lee 1983, from memory).
    fed = share * drawn
    total, _ = side_flow(fed, 1.0, drawn)
    assert total == pytest.approx(fed + drawn - 0.3 * math.sqrt(fed * drawn), rel=1e-12)
