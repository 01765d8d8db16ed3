"""Oil on its way down, against textbooks and handbook tables; each figure with its source."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from upfeed.physics.drains import depth_for, drain_flow
from upfeed.physics.flooding import flooding_limit, gas_density
from upfeed.physics.pan import time_between_levels, wall_oil

MM, L_MIN = 1e-3, 1e-3 / 60
G = 9.80665
HOT = {"mu": 8.5 * MM, "rho": 816.0}


def test_a_tank_empties_through_a_hole_as_the_textbook_says():
    """4 to 1 m, 2 m2, 5e-4 m2, Cd .61: t = (At/(Cd A)) sqrt(2/g) (sqrt h0 - sqrt h1), the textbook's closed form."""

    def orifice(depth):
        return 0.61 * 5e-4 * np.sqrt(2 * G * depth)

    assert time_between_levels(0.0, orifice, 2.0, 4.0, 1.0) == pytest.approx(2961.316, rel=1e-6)


def test_a_tank_fed_at_a_steady_rate_fills_as_the_closed_form_says():
    """A dh/dt = q - k h from empty: t = (A/k) ln(q/(q - k h)), by hand."""
    by_hand = 0.03 / 2e-3 * math.log(1e-4 / (1e-4 - 2e-3 * 0.025))
    filled = time_between_levels(1e-4, lambda depth: 2e-3 * depth, 0.03, 0.0, 0.025)
    assert filled == pytest.approx(by_hand, rel=1e-9)


@pytest.mark.parametrize(("celsius", "handbook"), [(20, 1.204), (60, 1.060), (100, 0.946), (120, 0.898)])
def test_crankcase_gas_weighs_what_air_does(celsius, handbook):
    """Dry air at one atmosphere, kg/m3: engineering tables (from memory). Blow-by is mostly air and burnt air."""
    assert gas_density(celsius + 273.15) == pytest.approx(handbook, rel=2e-3)


def test_three_holes_run_full_under_ten_millimetres_of_head():
    """5.4 L/min through three 11 mm holes, 20 mm long: an independent solve with zeta 1.5.

    The pressure takes the hole's own height off the head.
    """
    head = drain_flow(10 * MM, 11 * MM, 20 * MM, 816 * G * 20 * MM, **HOT)
    assert 3 * head / L_MIN == pytest.approx(5.4, rel=0.05)


@pytest.mark.parametrize(
    ("diameter", "viscosity", "discharge"),
    [(10, 10, 0.894), (10, 100, 0.390), (10, 1000, 0.046), (6, 10, 0.761), (6, 100, 0.177), (6, 1000, 0.018)],
)
def test_viscosity_slows_a_drain_as_computed_elsewhere(diameter, viscosity, discharge):
    """Under 20 mm of head, 20 mm long, over Cd 0.82 without viscosity: an independent solve, zeta 1/0.82 squared.

    Where viscosity rules, Dagan's limit, the same to three digits; else zeta 1.6 or more here costs up to 6 %.
    """
    rho = 850.0
    ideal = 0.82 * math.pi / 4 * (diameter * MM) ** 2 * math.sqrt(2 * G * 20 * MM)
    own = drain_flow(
        20 * MM, diameter * MM, 20 * MM, rho * G * 20 * MM, viscosity * 1e-6 * rho, rho
    )  # the pressure takes the hole's own height off the head
    assert own / ideal == pytest.approx(discharge, rel=0.06)


def wallis(gas, count, diameter, rho, gas_rho, c):
    """sqrt(jg*) + sqrt(jf*) = C, j* = j sqrt(rho/(g D (rhof - rhog))), written out by hand: L/min of oil."""
    area = math.pi / 4 * diameter**2
    unit = G * diameter * (rho - gas_rho)
    gas_part = math.sqrt(gas * L_MIN / count / area * math.sqrt(gas_rho / unit))
    return count * max(c - gas_part, 0.0) ** 2 * math.sqrt(unit / rho) * area / L_MIN


@pytest.mark.parametrize("c", [0.725, 0.75, 1.0])
@pytest.mark.parametrize("gas", [0.0, 5.0, 15.0])
def test_gas_rising_holds_oil_up_as_wallis_found(gas, c):
    """Wallis 1969, C 0.7-1 (from memory), written out by hand: gas in L/min through three 11 mm holes."""
    limit = 3 * flooding_limit(gas * L_MIN / 3, 11 * MM, gas_rho=0.946, constant=c, **HOT) / L_MIN
    assert limit == pytest.approx(wallis(gas, 3, 11 * MM, 816.0, 0.946, c), rel=1e-9)


def exchanged(diameter, mu, rho, gas_rho, **constant):
    """Liquid, m3/s, that runs out of a tube shut on top, where as much gas has to rise in it."""

    def too_little(oil):
        return flooding_limit(oil, diameter, mu, rho, gas_rho, **constant) - oil

    return brentq(too_little, 0.0, 1.0, xtol=1e-15)


def test_a_vessel_shut_on_top_empties_at_the_rate_worked_out_elsewhere():
    """Water and air, densities 1 to 0.0012, C 0.725: jf* = 0.37, two digits.

    Worked out by others, to pour from a bottle, in public notes on the drawing of liquids.
    """
    flow = exchanged(0.019, 1e-6, 1000.0, 1.2, constant=0.725)
    unit = math.pi / 4 * 0.019**2 * math.sqrt(G * 0.019 * 998.8 / 1000.0)
    assert flow / unit == pytest.approx(0.37, abs=0.005)


@pytest.mark.parametrize("diameter", [9 * MM, 11 * MM, 14 * MM, 26 * MM])
def test_a_tube_shut_on_top_empties_about_as_fast_as_a_long_bubble_rises_in_it(diameter):
    """Dumitrescu 1943: 0.351 sqrt(g D); Davies and Taylor 1950: 0.328 sqrt(g D), inviscid liquid, no surface tension.

    The bubble fills the tube but for a film of some 10 % of its area. Surface tension, which Wallis leaves out too,
    slows it in tubes below some 20 mm of water. All from memory. Sharp ends (C 0.725) come out at
    most 35 % on the fast side, C 1 at more than twice; upfeed's 0.75 lies 27-36 % above.
    """
    bubble = 0.9 * math.pi / 4 * diameter**2 * math.sqrt(G * diameter)
    thin = {"mu": 1e-6, "rho": 1000.0, "gas_rho": 1.2}
    assert 1.0 < exchanged(diameter, **thin, constant=0.725) / (0.351 * bubble) < 1.35
    assert 1.0 < exchanged(diameter, **thin, constant=0.725) / (0.328 * bubble) < 1.35
    assert exchanged(diameter, **thin, constant=1.0) > 2 * 0.351 * bubble


def test_thick_oil_hangs_in_the_hole_as_wallis_found():
    """Viscous liquids: sqrt(jg*) + 5.6 Nf^-1/2 sqrt(jf*) = C, Nf = sqrt(g D3 rhof (rhof - rhog))/mu (from memory).

    At Nf = 2 the factor is 3.96, so a quiet hole passes 15.7 times less than one of thin oil.
    """
    thickness = math.sqrt(G * (11 * MM) ** 3 * 880 * (880 - 1.3)) / 2
    thick = flooding_limit(0.0, 11 * MM, thickness, 880.0, 1.3)
    thin = flooding_limit(0.0, 11 * MM, 1e-3, 880.0, 1.3)
    assert thin / thick == pytest.approx(5.6**2 / 2, rel=1e-9)


def test_a_film_down_a_wall_is_as_thick_as_nusselt_found():
    """Nusselt 1916: delta = (3 nu Gamma/g)^(1/3). Water at 20 C, 1e-4 m2/s a metre: 0.3127 mm, by hand."""
    assert wall_oil(1e-4, 1.0, 1.0, 1.0e-6) == pytest.approx(0.3127 * MM, rel=1e-3)


def test_oil_over_the_rim_of_a_drain_runs_as_over_a_weir():
    """Critical depth at a broad crest: q = 1.705 h^1.5 m2/s (textbook); 2 mm at the rim of a 40 mm drain."""
    over = drain_flow(2 * MM, 40 * MM, 20 * MM, 0.0, **HOT)
    assert over == pytest.approx(1.705 * (2 * MM) ** 1.5 * math.pi * 40 * MM, rel=1e-3)


def test_the_depth_for_a_flow_is_the_depth_that_passes_it():
    depth = np.array([0.5, 2.0, 8.0, 30.0]) * MM
    passed = drain_flow(depth, 11 * MM, 20 * MM, 40.0, **HOT)
    assert depth_for(passed, 11 * MM, 20 * MM, 40.0, **HOT) == pytest.approx(depth, rel=1e-9)
