"""Ducts that are a piece of a circle, and a gallery with a round body in it."""

import math

import numpy as np
import pytest
from fluids.friction import one_phase_dP
from scipy.integrate import quad
from shapely import box
from shapely.geometry import Point

from upfeed.physics.galleries import beside, past_body, past_waist, run
from upfeed.physics.resistance import flow

MM = 1e-3
D, BODY = 10 * MM, 20 * MM
# Shah and London 1978, laminar flow in ducts that are a segment of a circle (from memory): Fanning f Re by half the
# angle that the arc spans, degrees.
SEGMENTS = {10: 15.560, 30: 15.580, 60: 15.690, 90: 15.766, 120: 15.840, 180: 16.000}


def cut(height):
    """Area and perimeter of a piece of the gallery's circle, by `shapely`, its corners 2e-6 off the arc."""
    piece = Point(0, 0).buffer(D / 2, quad_segs=720).intersection(box(-D, D / 2 - height, D, D))
    return piece.area, piece.length


def per_metre(height, f_re):
    """Pressure over viscosity, flow and length: dp/dz = 2 fRe mu Q/(Dh² A)."""
    area, around = cut(height)
    return 2 * f_re / ((4 * area / around) ** 2 * area)


def test_a_run_is_hagen_poiseuille():
    # As `fluids` gives laminar friction, 64/Re: 8.7e-3 Pa s, 2.5 mm, 0.2 m, 5e-6 m3/s.
    of_fluids = one_phase_dP(m=870 * 5e-6, rho=870, mu=8.7e-3, D=2.5e-3, L=0.2)
    assert run(2.5e-3, 0.2).a * 8.7e-3 * 5e-6 == pytest.approx(of_fluids, rel=1e-9)


@pytest.mark.parametrize(("half_angle", "f_re"), SEGMENTS.items())
def test_a_thin_slice_resists_as_the_published_duct(half_angle, f_re):
    # A body so thin that the piece is the same for its whole length.
    height = D / 2 * (1 - math.cos(math.radians(half_angle)))
    thin = 1e-5 * D
    near = beside(D, height - D / 2 + thin / 2, thin)
    assert near.a == pytest.approx(per_metre(height, f_re) * thin, rel=0.02)


def test_along_a_round_body_the_pieces_add_up():
    offset = BODY / 2 + 1 * MM

    def piece(z):
        height = min(offset + D / 2 - math.sqrt((BODY / 2) ** 2 - z**2), D)
        return per_metre(height, 15.8)

    by_hand, _ = quad(piece, 0, BODY / 2, limit=200, epsrel=1e-5)
    assert beside(D, offset, BODY).a == pytest.approx(2 * by_hand, rel=2e-3)


def test_a_body_clear_of_the_gallery_leaves_the_plain_bore():
    # The whole circle: f Re is 16; half a head is lost at the crossing, as the law says of itself.
    clear = beside(D, BODY, BODY)
    assert clear.a == pytest.approx(run(D, BODY).a, rel=0.02)
    assert clear.b == pytest.approx(0.5 / (2 * (np.pi / 4 * D**2) ** 2))


def test_half_of_the_gallery_covered_loses_half_and_a_quarter_of_a_head():
    # Sharp narrowing 0.5 (1 - m), Borda-Carnot (1 - m)²: at m = 1/2 by hand 0.25 + 0.25 heads of the narrow place.
    half = np.pi / 4 * D**2 / 2
    assert beside(D, BODY / 2, BODY).b == pytest.approx(0.5 / (2 * half**2), rel=1e-9)


def test_a_body_across_the_whole_gallery_leaves_only_its_band():
    lifter = {
        "foot": 20 * MM,
        "gallery_height": 50 * MM,
        "gallery_diameter": D,
        "bore": 20.04 * MM,
        "shaft": BODY,
    }
    ways = past_body(**lifter, gallery_offset=0.0, band_from=28 * MM, band_to=32 * MM, band_depth=1 * MM)
    assert np.isinf(ways.first.a)
    # Both ways half round, plane Poiseuille between walls 1 mm apart, 4 mm high, corrected for its ends by
    # the textbook's 1 - 0.63 t/w: 12 (pi D/2) / (2 w t³ 0.8425); the two mouths add their edges.
    round_body = 12 * np.pi * BODY / 2 / (2 * 4 * MM * (1 * MM) ** 3 * (1 - 0.63 / 4))
    assert ways.second.a > round_body
    assert ways.second.a < 1.5 * round_body


def test_a_waist_clears_the_gallery():
    lifter = {
        "foot": 20 * MM,
        "gallery_height": 50 * MM,
        "gallery_diameter": D,
        "bore": 20.04 * MM,
        "shaft": BODY,
    }
    offset = BODY / 2 - 2 * MM
    full = past_body(**lifter, gallery_offset=offset, band_from=28 * MM, band_to=32 * MM, band_depth=1 * MM)
    waist = past_waist(
        **lifter, gallery_offset=offset, waist_from=20 * MM, waist_to=40 * MM, waist_depth=3 * MM
    )
    passed = [sum(float(flow(1e4, way, 0.0085, 830.0)) for way in ways) for ways in (full, waist)]
    assert passed[1] > 2 * passed[0]
