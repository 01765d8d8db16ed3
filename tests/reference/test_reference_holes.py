"""Holes, short tubes and bores against measured plates and tubes, exact limits and a pipe library."""

import itertools
import math
from pathlib import Path

import numpy as np
import pytest
from fluids import entrance_sharp, exit_normal, one_phase_dP
from fluids.flow_meter import differential_pressure_meter_C_epsilon
from numpy.testing import assert_allclose

from upfeed.physics.holes import loss
from upfeed.physics.laws import bore, flow, hole

MU, RHO = 0.0085, 870.0
D = 1e-3
AREA = math.pi * D**2 / 4


def discharge_coefficient(length, ideal_reynolds):
    """Cd = Q/(A sqrt(2 dp/rho)) of a 1 mm hole, Reynolds number on the ideal velocity sqrt(2 dp/rho)."""
    velocity = ideal_reynolds * MU / (RHO * D)
    return flow(RHO * velocity**2 / 2, hole(D, length), MU, RHO) / (AREA * velocity)


def pressure(way, q, mu=MU, rho=RHO):
    return way.a * mu * q + way.b * rho * q * abs(q)


def energy_times_reynolds(slenderness):
    """E Re in creeping flow, E = dp/(rho V²/2), Re = V d/nu: 2 a mu A d/mu."""
    return float(2 * hole(D, slenderness * D).a * AREA * D)


def test_sampson():
    # Sampson 1891: Q = d³ dp/(24 mu); E = 12 pi/Re.
    assert_allclose(flow(1.0, hole(D, 0.0), 1.0, 1e-12), D**3 / 24, rtol=1e-9)
    assert_allclose(energy_times_reynolds(0.0), 12 * math.pi, rtol=1e-12)


@pytest.mark.parametrize(
    ("length", "resistance"),
    [(0.0, 2.0400e8), (1e-3, 5.5032e8), (3e-3, 1.24296e9)],  # Dagan, Weinbaum and Pfeffer 1982, 8.5 mPa s
)
def test_dagan(length, resistance):
    assert_allclose(hole(D, length).a * 0.0085, resistance, rtol=1e-5)


@pytest.mark.parametrize(("slenderness", "solved"), [(0.10, 41.8), (0.37, 57.7)])
def test_a_published_navier_stokes_solution(slenderness, solved):
    # Published solution of thin holes; Dagan's sum is known to be 5.5 and 6.4 % above it.
    assert_allclose(energy_times_reynolds(slenderness), solved, rtol=0.07)


@pytest.mark.parametrize("slenderness", [2.0, 4.0, 6.0, 10.0])
def test_dagan_is_the_limit_below_the_short_tube_correlation(slenderness):
    # Dagan, Weinbaum and Pfeffer 1982: what is left when inertia is gone (ideal-velocity Re 0.01).
    reynolds = 0.01
    creeping = reynolds / (12 * math.pi + 64 * slenderness)
    assert_allclose(discharge_coefficient(slenderness * D, reynolds), creeping, rtol=1e-4)


# Discharge coefficient on the pipe Reynolds number at beta 0.5, Hollingshead 2011 as tabled in `fluids`.
HOLLINGSHEAD = [
    (1, 0.233), (5, 0.478), (10, 0.585), (20, 0.654), (40, 0.688),
    (100, 0.702), (200, 0.699), (500, 0.684), (1000, 0.670),
]  # fmt: skip


def plate(pipe_reynolds):
    """C of Hollingshead's orifice by the pipe library."""
    mass_flow = pipe_reynolds * 1e-3 * math.pi * 0.1 / 4
    coefficient, _ = differential_pressure_meter_C_epsilon(
        D=0.1, D2=0.05, m=mass_flow, P1=2e5, P2=1.9e5, rho=1000.0, mu=1e-3, k=1.3,
        meter_type="Hollingshead orifice",
    )  # fmt: skip
    return coefficient


def thin_plate_flow_share(pipe_reynolds, coefficient):
    """Our flow over the measured one at the pressure the plate has at this pipe Reynolds number."""
    q = 2 * pipe_reynolds * MU / (RHO * D) * AREA  # hole Re is twice the pipe's at beta 0.5
    measured = coefficient / math.sqrt(1 - 0.5**4)
    dp = RHO / 2 * (q / (AREA * measured)) ** 2
    return float(pressure(hole(D, 0.0), q) / dp) ** -0.5


@pytest.mark.parametrize(("pipe_reynolds", "coefficient"), HOLLINGSHEAD)
def test_the_table_is_the_librarys(pipe_reynolds, coefficient):
    assert plate(pipe_reynolds) == pytest.approx(coefficient, abs=6e-4)


@pytest.mark.parametrize("pipe_reynolds", np.geomspace(1, 1000, 25))
def test_thin_plate_discharge_coefficient(pipe_reynolds):
    assert thin_plate_flow_share(pipe_reynolds, plate(pipe_reynolds)) == pytest.approx(1.0, abs=0.15)


def lichtarowicz(reynolds, slenderness):
    """Cd of a short tube: Lichtarowicz, Duggins and Markland 1965, L/d 2-10, ideal-velocity Re."""
    ultimate = 0.827 - 0.0085 * slenderness
    bend = 0.005 * slenderness / (1 + 7.5 * np.log10(0.00015 * reynolds) ** 2)
    return 1 / (1 / ultimate + 20 / reynolds * (1 + 2.25 * slenderness) - bend)


def test_the_correlation_is_the_printed_one():
    # Listed values of the correlation.
    assert lichtarowicz(100, 2) == pytest.approx(0.4284155, abs=1e-7)
    assert lichtarowicz(2e4, 2) == pytest.approx(0.8088166, abs=1e-7)


@pytest.mark.parametrize("slenderness", [2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0])
def test_short_tubes(slenderness):
    reynolds = np.geomspace(200, 20_000, 60)
    measured = lichtarowicz(reynolds, slenderness)
    assert_allclose(discharge_coefficient(slenderness * D, reynolds), measured, rtol=0.10)


# The tables people read


def table(first):
    """Column heads and rows of the README's table whose head begins so; errors in per cent."""
    lines = (Path(__file__).parent / "README.md").read_text("utf-8").splitlines()
    start = next(i for i, line in enumerate(lines) if line.startswith(f"| {first} |"))
    rows = itertools.takewhile(lambda line: line.startswith("|"), lines[start:])
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows]
    return [float(head) for head in cells[0][1:]], {row[0]: [float(c) for c in row[1:]] for row in cells[2:]}


def test_the_table_of_short_tubes_is_true_and_within_its_bound():
    heads, rows = table("L/d")
    assert (heads[0], heads[-1], *rows) == (200, 20_000, *"234568", "10")
    for slenderness, printed in rows.items():
        x, reynolds = float(slenderness), np.array(heads)
        error = 100 * (discharge_coefficient(x * D, reynolds) / lichtarowicz(reynolds, x) - 1)
        assert_allclose(printed, error, atol=0.501)
        assert np.all(np.abs(error) <= 10)


def test_the_table_of_the_thin_plate_is_true_and_within_its_bound():
    heads, rows = table("Re")
    assert (heads[0], heads[-1]) == (1, 1000)
    error = np.array([100 * (thin_plate_flow_share(r, plate(r)) - 1) for r in heads])
    assert_allclose(rows["plate"], error, atol=0.501)
    assert np.all(np.abs(error) <= 15)


def test_a_short_holes_loss_is_a_sharp_entry_and_an_exit():
    # fluids: entrance_sharp() 0.57 and exit_normal() 1.0 speed heads; the law has 1.6 for a hole without length.
    assert loss(D, 0.0) == pytest.approx(entrance_sharp() + exit_normal(), rel=0.02)


def test_a_pushrod_against_the_pipe_library():
    # fluids: one_phase_dP(m=870*5e-6, rho=870, mu=8.7e-3, D=2.5e-3, L=.2) = 9074.429 Pa, wall friction alone.
    q, mu = 5e-6, 8.7e-3
    assert one_phase_dP(m=870 * q, rho=870.0, mu=mu, D=2.5e-3, L=0.2) == pytest.approx(9074.429, abs=1e-3)
    assert_allclose(bore(2.5e-3, 0.2).a * mu * q, 9074.429, rtol=1e-6)


def test_textbook_capillary():
    # Textbook viscometer: 880 mm3/s through 0.5 mm x 1 m at 1 MPa gives 1.743e-3 Pa s (friction alone).
    assert 1e6 / (bore(0.5e-3, 1.0).a * 880e-9) == pytest.approx(1.743e-3, abs=1e-6)


@pytest.mark.parametrize("slenderness", [60.0, 90.0])
def test_developing_flow_in_a_bore(slenderness):
    # Shah 1978 (coefficients from memory; its abstract: within 2.4 %): E = 1 + 4 x (f Re), x = (L/d)/Re.
    reynolds = np.geomspace(10, 1500, 40)
    x = slenderness / reynolds
    entrance = 3.44 / np.sqrt(x)
    f_re = entrance + (1.25 / (4 * x) + 16 - entrance) / (1 + 0.00021 / x**2)
    q = reynolds * MU / RHO / D * AREA
    ours = pressure(bore(D, slenderness * D), q) / (RHO / 2 * (q / AREA) ** 2)
    assert_allclose(ours, 1 + 4 * x * f_re, rtol=0.05)
