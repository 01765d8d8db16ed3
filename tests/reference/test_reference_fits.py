"""Fits and bearing grooves against textbook figures, an exact series and numerical integration."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.integrate import quad

from upfeed.physics.films import edges
from upfeed.physics.laws import fit, flow, groove

INCH, PSI, REYN = 0.0254, 6894.757293168, 6894.757293168
BARELY = 1e-9  # density at which nothing but viscosity counts, kg/m3


def land_only(law):
    """Growth of `a` per metre of land: the film alone, without the edges at its ends."""
    return float(law(0.02).a - law(0.01).a) / 0.01


def run_of_fit(clearance, eccentricity, diameter=21.4e-3):
    return lambda length: fit(diameter + clearance, diameter - clearance, length, eccentricity)


def test_textbook_piston():
    # Textbook: 25 mm piston, 5 um radial clearance, 15 mm long, 19 MPa, 0.018 Pa s leaks 57.57 mm3/s.
    a = land_only(run_of_fit(5e-6, 0.0, 25e-3)) * 15e-3
    assert 19e6 / (a * 0.018) == pytest.approx(57.57e-9, rel=1e-4)
    # The edges at both ends take no more than 0.1 % of it.
    assert flow(19e6, run_of_fit(5e-6, 0.0, 25e-3)(15e-3), 0.018, BARELY) == pytest.approx(57.57e-9, rel=1e-3)


@pytest.mark.parametrize(
    ("clearance", "millilitres"),
    [  # Q = pi d c³ dp (1 + 1.5 e²)/(12 mu L): 21.4 mm, 10 mm, 3 bar, 8.5 mPa s, e 0/0.5/1
        (12.5e-6, (2.317, 3.186, 5.793)),
        (20e-6, (9.491, 13.051, 23.728)),
        (25e-6, (18.538, 25.489, 46.344)),
    ],
)
def test_lifter_fit(clearance, millilitres):
    for eccentricity, expected in zip((0.0, 0.5, 1.0), millilitres, strict=True):
        a = land_only(run_of_fit(clearance, eccentricity)) * 10e-3
        assert 3e5 / (a * 8.5e-3) * 6e7 == pytest.approx(expected, abs=6e-4)


def test_contact_passes_two_and_a_half_times():
    # Textbook annulus: 1 + 1.5 e² at e = 1.
    centred, touching = (land_only(run_of_fit(20e-6, e)) for e in (0.0, 1.0))
    assert centred / touching == pytest.approx(2.5, rel=1e-9)


def eccentric_annulus(outer, inner, apart):
    """Q mu L/dp between eccentric circles, exact (Piercy, Hooper and Winny 1933; from memory)."""
    f = (outer**2 - inner**2 + apart**2) / (2 * apart)
    m = math.sqrt(f * f - outer**2)
    alpha = 0.5 * math.log((f + m) / (f - m))
    beta = 0.5 * math.log((f - apart + m) / (f - apart - m))
    terms = (n * math.exp(-n * (beta + alpha)) / math.sinh(n * (beta - alpha)) for n in range(1, 30_000))
    series = (
        outer**4 - inner**4 - 4 * apart**2 * m**2 / (beta - alpha) - 8 * apart**2 * m**2 * math.fsum(terms)
    )
    return math.pi / 8 * series


@pytest.mark.parametrize("eccentricity", [0.3, 0.5, 0.8])
def test_against_the_exact_eccentric_series(eccentricity):
    outer, clearance = 10.72e-3, 20e-6
    exact = eccentric_annulus(outer, outer - clearance, eccentricity * clearance)
    a = land_only(lambda length: fit(2 * outer, 2 * (outer - clearance), length, eccentricity))
    # The film theory is short of curvature by (c/r)², 4e-6; the series loses eight digits to cancellation.
    assert 1 / a == pytest.approx(exact, rel=1e-5)


def test_textbook_bearing():
    # Machine-design textbook: 30 psi, r 0.875 in, c 0.0015 in, land 0.875 in, 1.693e-6 reyn, e 0.8: 0.12275
    # in3/s by its formula, about 0.123 as printed (memory).
    a = land_only(
        lambda land: groove(1.75 * INCH, 0.003 * INCH, land, 0.8, 0.0, 2 * math.pi)
    ) * 0.875 * INCH  # fmt: skip
    assert 30 * PSI / (a * 1.693e-6 * REYN) / INCH**3 == pytest.approx(0.12275, abs=1e-5)


@pytest.mark.parametrize("eccentricity", [0.0, 0.6, 1.0])
def test_a_full_groove_is_two_fits(eccentricity):
    # Identity: each land of a full groove is a fit of its own, and both leak side by side.
    journal, clearance, land = 50e-3, 50e-6, 9e-3
    both = groove(journal, clearance, land, eccentricity, 0.0, 2 * math.pi)
    one = fit(journal + clearance / 2, journal - clearance / 2, land, eccentricity)
    assert_allclose((both.a, both.b), (one.a / 2, one.b / 4), rtol=1e-12)


@pytest.mark.parametrize("eccentricity", [0.0, 0.4, 0.8, 1.0])
def test_a_full_groove_widens_by_one_and_a_half_e_squared(eccentricity):
    # (1/2pi) x integral of (1 + e cos)³ over the circle = 1 + 1.5 e² (textbook).
    def run(e):
        return land_only(lambda land: groove(50e-3, 50e-6, land, e, -math.pi, math.pi))

    assert run(0.0) / run(eccentricity) == pytest.approx(1 + 1.5 * eccentricity**2, rel=1e-9)


@pytest.mark.parametrize(
    ("arc_from", "arc_to"), [(-math.pi / 2, math.pi / 2), (0.3, 2.1), (1.0, 5.0), (2.0, -2.0)]
)
@pytest.mark.parametrize("eccentricity", [0.2, 0.7, 1.0])
def test_an_arc_against_numerical_integration(arc_from, arc_to, eccentricity):
    low, high = sorted((arc_from, arc_to))
    integral, _ = quad(lambda t: (1 + eccentricity * math.cos(t)) ** 3, low, high, epsabs=0, epsrel=1e-12)
    a = land_only(lambda land: groove(50e-3, 50e-6, land, eccentricity, arc_from, arc_to))
    # Plane Poiseuille flow through each slice of the film, both lands: dQ = 2 h³ dp r dt/(12 mu l).
    assert 1 / a == pytest.approx(2 * 25e-3 * 25e-6**3 * integral / 12, rel=1e-9)


def half_groove_gain(eccentricity):
    half = land_only(lambda land: groove(50e-3, 50e-6, land, eccentricity, -math.pi / 2, math.pi / 2))
    full = land_only(lambda land: groove(50e-3, 50e-6, land, eccentricity, 0.0, 2 * math.pi))
    return full / half / 0.5


def test_an_upper_half_groove_lies_on_the_wide_side():
    # By hand: (pi + 6e + 1.5 pi e² + 4/3 e³)/(pi + 1.5 pi e²), 1.85 times the share of the arc at e 0.7.
    assert half_groove_gain(0.7) == pytest.approx(1.854, abs=1e-3)
    assert half_groove_gain(0.0) == pytest.approx(1.0, rel=1e-9)


def test_edges_of_what_stands_wide_open_alone_are_those_of_a_hole():
    # Sampson 1891: Q = d³ dp/(24 mu) through a hole in a thin plate; no film beside it.
    assert_allclose(edges(0.0, 20e-6, math.pi * 1e-3**2 / 4).a, 24 / 1e-3**3, rtol=1e-12)


def test_edges_of_a_slit():
    # Hasimoto 1958 (from memory): a slit in a thin plate passes pi h² dp/(32 mu) per width.
    edge = fit(21.42e-3, 21.38e-3, 0.0, 0.0)
    assert_allclose(1 / edge.a, math.pi * 20e-6**2 / 32 * math.pi * 21.4e-3, rtol=1e-9)
    assert np.isfinite(flow(1e5, edge, 0.0085, 830.0))
