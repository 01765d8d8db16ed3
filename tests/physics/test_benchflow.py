"""A metering's size back from the oil it let by."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from upfeed.physics.benchflow import metering_size, passes_alone
from upfeed.physics.fits import fit
from upfeed.physics.holes import hole, opening, shut
from upfeed.physics.metering import notched_disc
from upfeed.physics.resistance import flow, in_series, resistance

MM, MM2, PSI = 1e-3, 1e-6, 6894.757293168
MU, RHO = 0.012, 840.0
REST = in_series(hole(1.32 * MM, 2 * MM), hole(1.4 * MM, 1.5 * MM))
NONE = resistance(0.0, 0.0)
AREAS = (1e-9, 3e-6)


def notch(area):
    return opening(area, 0.0)


def cup(bore):
    return fit(bore, 15 * MM, 6 * MM, 0.5)


def drilled(diameter):
    return hole(diameter, 2 * MM)


METERINGS = {
    "notch": (notch, AREAS, 0.042 * MM2),
    "fit": (cup, (5 * MM, 35 * MM), 15.02 * MM),
    "hole": (drilled, (0.05 * MM, 4 * MM), 0.4 * MM),
}


@given(st.floats(1.1e-9, 2e-6), st.floats(1e3, 1e6), st.floats(1e-3, 10.0))
def test_there_and_back(area, pressure, mu):
    caught = flow(pressure, in_series(REST, notch(area)), mu, RHO)
    # What the rest keeps for itself is lost to rounding: a metering that hardly meters is hardly seen.
    found = metering_size(caught, pressure, REST, notch, AREAS, mu, RHO)
    assert found == pytest.approx(area, rel=1e-7)


@pytest.mark.parametrize("style", METERINGS)
@pytest.mark.parametrize("pressure", [5 * PSI, 60 * PSI])
def test_every_style_there_and_back_through_scipys_root(style, pressure):
    law, ends, size = METERINGS[style]
    caught = float(flow(pressure, in_series(REST, law(size)), MU, RHO))
    found = float(metering_size(caught, pressure, REST, law, ends, MU, RHO))
    assert found == pytest.approx(size, rel=1e-9)
    root = brentq(
        lambda at: float(flow(pressure, in_series(REST, law(at)), MU, RHO)) - caught, *ends, xtol=1e-15
    )
    assert found == pytest.approx(root, abs=1e-10 * size)


def test_viscous_alone_by_hand():
    # d³ = 24 mu Q/dp = 24 * 0.01 * 1e-6 / 1e5 = 2.4e-12: d = 0.13389 mm.
    area = metering_size(1e-6, 1e5, NONE, notch, AREAS, 0.01, 1e-9)
    assert math.sqrt(4 * float(area) / math.pi) == pytest.approx(0.13389e-3, rel=1e-4)


def test_inertial_alone_by_hand():
    # dp = 1.6/2 rho (Q/A)²: A = 1e-6 sqrt(0.8 * 800/1e5) = 8e-8 m2.
    assert metering_size(1e-6, 1e5, NONE, notch, AREAS, 1e-12, 800.0) == pytest.approx(8e-8, rel=1e-4)


def test_lifters_side_by_side():
    caught = np.array([[20.0], [30.0], [40.0]]) * 1e-6 / 60
    areas = metering_size(caught, np.array([1e5, 2e5]), REST, notch, AREAS, MU, RHO)
    assert areas.shape == (3, 2)
    assert np.all(np.diff(areas[:, 0]) > 0)
    assert np.all(areas[:, 1] < areas[:, 0])


def test_what_nothing_explains_comes_out_at_an_end():
    most = float(passes_alone(2e5, REST, MU, RHO))
    for caught, rest in ((1.000001 * most, REST), (1.01 * most, REST), (1e-6, shut())):
        assert metering_size(caught, 2e5, rest, notch, AREAS, MU, RHO) == pytest.approx(AREAS[1], rel=1e-12)
    assert metering_size(1e-14, 2e5, REST, notch, AREAS, MU, RHO) == pytest.approx(AREAS[0], rel=1e-6)
    assert metering_size(0.9 * most, 2e5, REST, notch, AREAS, MU, RHO) < AREAS[1]
    assert passes_alone(2e5, shut(), MU, RHO) == 0.0


def test_held_down_a_disc_has_its_notch_alone():
    held = notched_disc(0.042 * MM2, 7.6 * MM, 10.2 * MM, 0.035 * MM, seated=1.0, base_circle=1.0)
    assert np.isinf(held.second.a)
    assert (held.first.a, held.first.b) == notch(0.042 * MM2)
