"""Oil against the standards' worked values and a public property library."""

import math

import numpy as np
import pytest
from chemicals.viscosity import viscosity_index as library_index
from numpy.testing import assert_allclose

from upfeed.physics.grades import HEAVY_40_HIGH_SHEAR, HOT_GRADES, WINTER_LEAST, grades_of, viscosity_index
from upfeed.physics.oil import density, density_from_60f, kinematic_viscosity, walther

CST, C = 1e-6, 273.15


# ASTM D341


def test_404_and_28_cst():
    # Public calculator: 404 cSt at 40 C and 28 at 100 C give 132.126 at 60 C; run with 273.15: 132.1261.
    line = walther(404 * CST, 40 + C, 28 * CST, 100 + C)
    assert kinematic_viscosity(60 + C, line) == pytest.approx(132.1261 * CST, rel=1e-5)


def test_the_full_form_of_the_line_below_2_cst():
    # Z = nu + 0.7 + exp(-1.47 - 1.84 nu - 0.51 nu²): 1.721928 at 1 cSt, 1.280661 at 0.5 cSt, by hand.
    line = walther(1 * CST, 300.0, 0.5 * CST, 400.0)
    one, half = (math.log10(math.log10(z)) for z in (1.721928, 1.280661))
    assert line.slope == pytest.approx((one - half) / math.log10(400 / 300), rel=1e-5)
    assert line.intercept == pytest.approx(one + line.slope * math.log10(300), rel=1e-5)


def test_68_and_14_85_cst():
    # Same page: 68 cSt at 40 C and 14.85 at 80 C give 8.8 at 100 C (run: 8.792), viscosity index 102.
    line = walther(68 * CST, 40 + C, 14.85 * CST, 80 + C)
    at_100 = kinematic_viscosity(100 + C, line)
    assert at_100 == pytest.approx(8.792 * CST, abs=6e-4 * CST)
    assert round(float(viscosity_index(68 * CST, at_100))) == 102


def test_32_and_5_4_cst():
    # Public worked example with 273: A 9.5259, B 3.7449, 8.5 cSt at 80 C.
    line = walther(32 * CST, 313.0, 5.4 * CST, 373.0)
    assert line.intercept == pytest.approx(9.5259, abs=2e-4)
    assert line.slope == pytest.approx(3.7449, abs=2e-4)
    assert kinematic_viscosity(353.0, line) == pytest.approx(8.5 * CST, abs=0.05 * CST)


# ASTM D2270


@pytest.mark.parametrize(
    ("at_40", "at_100", "index"),
    [
        (73.3, 8.86, 92),  # example of chemicals.viscosity_index
        (22.83, 5.05, 156),  # standard's example (memory)
        (53.47, 7.80, 111),  # standard's example (memory)
    ],
)
def test_viscosity_index_examples(at_40, at_100, index):
    assert round(float(viscosity_index(at_40 * CST, at_100 * CST))) == index


@pytest.mark.parametrize("ratio", [4.5, 6.0, 8.0, 10.0, 14.0, 20.0])
def test_viscosity_index_against_the_librarys_tables(ratio):
    # chemicals interpolates the tables of D2270 that its computing equations were fitted to.
    at_100 = np.concatenate([np.geomspace(2.1, 69.9, 120), np.geomspace(70.1, 200.0, 10)]) * CST
    tabled = [library_index(ratio * nu, nu) for nu in at_100]
    assert_allclose(viscosity_index(ratio * at_100, at_100), tabled, rtol=5e-3, atol=0.5)


# SAE J300 (2015)


def test_hot_grades():
    # SAE J300 (2015): kinematic at 100 C, cSt, at least and below; high-shear at 150 C, mPa s.
    table = {
        "8": (4.0, 6.1, 1.7), "12": (5.0, 7.1, 2.0), "16": (6.1, 8.2, 2.3), "20": (6.9, 9.3, 2.6),
        "30": (9.3, 12.5, 2.9), "40": (12.5, 16.3, 3.5), "50": (16.3, 21.9, 3.7), "60": (21.9, 26.1, 3.7),
    }  # fmt: skip
    found = {g.grade: (g.least / CST, g.below / CST, g.high_shear * 1e3) for g in HOT_GRADES}
    assert list(found) == list(table)
    for grade, row in table.items():
        assert found[grade] == pytest.approx(row, rel=1e-12)
        assert grade in grades_of((row[0] + row[1]) / 2 * CST)
    assert HEAVY_40_HIGH_SHEAR == 3.7e-3


def test_winter_grades():
    # SAE J300 (2015): least kinematic viscosity at 100 C, cSt.
    table = {"0W": 3.8, "5W": 3.8, "10W": 4.1, "15W": 5.6, "20W": 5.6, "25W": 9.3}
    assert {grade: least / CST for grade, least in WINTER_LEAST.items()} == pytest.approx(table)


# API 11.1 / ASTM D1250, lubricants


@pytest.mark.parametrize(
    ("celsius", "expected"), [(40, 854.575), (80, 829.032), (100, 816.140), (120, 803.181)]
)
def test_density_from_870_at_60_f(celsius, expected):
    # D1250 / API 11.1 lubricants: alpha60 = 0.34878/rho60 per F, rho60 870.
    assert density_from_60f(celsius + C, 870.0) == pytest.approx(expected, abs=6e-4)
    # The same oil by its density at 15 C, one degree F below 60: by hand 870 exp(0.34878/870) = 870.349.
    assert density(celsius + C, 870.3488) == pytest.approx(expected, abs=6e-4)


@pytest.mark.parametrize("thin", [0.5, 0.8, 1.5])
def test_the_standards_inverse_gives_back_what_the_line_was_laid_through(thin):
    """ASTM D341: both exponentials belong together, down to fractions of a cSt (spirit, fuel)."""
    line = walther(2 * thin * 1e-6, 313.15, thin * 1e-6, 373.15)
    assert kinematic_viscosity(373.15, line) == pytest.approx(thin * 1e-6, rel=2e-3)
