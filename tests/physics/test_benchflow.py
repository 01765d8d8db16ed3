"""A metering's opening back from the oil it let by."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.physics.benchflow import bench_opening, passes_alone
from upfeed.physics.holes import hole, opening, shut
from upfeed.physics.resistance import flow, in_series, resistance

MM, PSI = 1e-3, 6894.757293168
MU, RHO, TIME = 0.012, 840.0, 60.0
FEED = hole(1.32 * MM, 2 * MM)
CUP = hole(1.4 * MM, 1.5 * MM)
REST = in_series(FEED, CUP)
NONE = resistance(0.0, 0.0)


@given(st.floats(1e-9, 2e-6), st.floats(1e3, 1e6), st.floats(1e-3, 10.0))
def test_there_and_back(area, pressure, mu):
    caught = flow(pressure, in_series(REST, opening(area, 0.0)), mu, RHO) * TIME
    # What the rest keeps for itself is lost to rounding: a metering that hardly meters is hardly seen.
    found = bench_opening(caught, TIME, pressure, REST, mu, RHO)
    assert found == pytest.approx(area, rel=1e-7)


def test_viscous_alone_by_hand():
    # d³ = 24 mu Q/dp = 24 * 0.01 * 1e-6 / 1e5 = 2.4e-12: d = 0.13389 mm.
    area = bench_opening(60e-6, 60.0, 1e5, NONE, 0.01, 1e-9)
    assert math.sqrt(4 * float(area) / math.pi) == pytest.approx(0.13389e-3, rel=1e-4)


def test_inertial_alone_by_hand():
    # dp = 1.6/2 rho (Q/A)²: A = 1e-6 sqrt(0.8 * 800/1e5) = 8e-8 m2.
    assert bench_opening(1e-6, 1.0, 1e5, NONE, 1e-12, 800.0) == pytest.approx(8e-8, rel=1e-4)


def test_no_oil_is_no_way():
    assert bench_opening(0.0, TIME, 2e5, REST, MU, RHO) == 0.0
    assert bench_opening(0.0, TIME, 2e5, shut(), MU, RHO) == 0.0


def test_lifters_side_by_side():
    volumes = np.array([[20.0], [30.0], [40.0]]) * 1e-6
    areas = bench_opening(volumes, TIME, np.array([1e5, 2e5]), REST, MU, RHO)
    assert areas.shape == (3, 2)
    assert np.all(np.diff(areas[:, 0]) > 0)
    assert np.all(areas[:, 1] < areas[:, 0])


def test_more_than_the_rest_would_pass_is_refused():
    most = float(passes_alone(2e5, REST, MU, RHO)) * TIME
    assert bench_opening(0.99 * most, TIME, 2e5, REST, MU, RHO) > 0
    for caught in (1.000001 * most, 1.01 * most):
        with pytest.raises(
            ValueError, match=r"mL/min that the rest of the lifter passes without its metering"
        ):
            bench_opening(np.array([0.1 * most, caught]), TIME, 2e5, REST, MU, RHO)
    with pytest.raises(ValueError, match=r"^found 60 mL/min at 2 bar; expected less than the 0 mL/min"):
        bench_opening(60e-6, TIME, 2e5, shut(), MU, RHO)


@pytest.mark.parametrize(
    ("volume", "time", "pressure", "told"),
    [
        (-1e-6, TIME, 2e5, "found -1 mL/min"),
        (1e-6, TIME, 0.0, "at 0 bar"),
        (1e-6, 0.0, 2e5, "caught in 0 s"),
        (1e-6, -5.0, 2e5, "caught in -5 s"),
    ],
)
def test_readings_that_cannot_be_are_refused(volume, time, pressure, told):
    with pytest.raises(ValueError, match=told):
        bench_opening(volume, time, pressure, REST, MU, RHO)
