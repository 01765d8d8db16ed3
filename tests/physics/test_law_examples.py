"""Every worked example in a docstring is what its function computes."""

import inspect
import math
import re

import numpy as np
import pytest

from upfeed.physics import galleries
from upfeed.physics.benchflow import metering_size
from upfeed.physics.drains import depth_for, drain_flow
from upfeed.physics.films import beside, edges, film
from upfeed.physics.fits import fit, groove
from upfeed.physics.flooding import flooding_limit, gas_density
from upfeed.physics.galleries import past_body, past_bush, past_waist, run
from upfeed.physics.geometry import circle_between, lens
from upfeed.physics.grades import grades_of, viscosity_index
from upfeed.physics.holes import bore, clear, hole, joined, loss, opening, shut
from upfeed.physics.lands import band, land_above, land_below, land_below_wheel, window
from upfeed.physics.laws import LAWS
from upfeed.physics.metering import notched_disc, rocker_hole, swing_apart, timed_hole
from upfeed.physics.oil import density, density_from_60f, kinematic_viscosity, oil_at, walther
from upfeed.physics.pan import time_between_levels, wall_oil
from upfeed.physics.resistance import flow, resistance
from upfeed.physics.sideflow import drawn_flow, side_flow
from upfeed.physics.stack import (
    at_the_cup,
    cold_preload,
    growth,
    hot_preload,
    needed_length,
    travel_left,
)
from upfeed.physics.supply import displaced, filter_element, most_drawn, slip, spring_valve
from upfeed.physics.timing import cut_off_lift, lobe
from upfeed.physics.twobands import land_above_two_bands, land_below_two_bands, past_two_bands

MM, UM, CST, C = 1e-3, 1e-6, 1e-6, 273.15
DEG = math.pi / 180
GALLERY = {"gallery_height": 50 * MM, "gallery_diameter": 10 * MM, "bore": 21.42 * MM, "shaft": 21.38 * MM}
LIFTER = GALLERY | {"band_from": 28 * MM, "band_to": 30 * MM}
DISC = {"notch_area": 0.06e-6, "seat_inner": 8 * MM, "seat_outer": 10 * MM, "free_rise": 35 * UM}
DRAIN = {"length": 20 * MM, "back_pressure": 0.0, "mu": 8.5 * MM, "rho": 816.0}
FLOODED = {"diameter": 11 * MM, "mu": 8.5 * MM, "rho": 816.0, "gas_rho": 0.946}
ALONG = LIFTER | {"foot": 20 * MM, "bore": 20.04 * MM, "shaft": 20 * MM}
WAIST = {k: v for k, v in ALONG.items() if "band" not in k} | {"waist_from": 20 * MM, "waist_to": 40 * MM}
LEAK = LIFTER | {"eccentricity": 0.0}


def covered_by_a_millimetre():
    # Gallery top at 55 mm, band from 28 mm: covers of 1 and of 0 mm.
    return window(foot=28 * MM, **LIFTER).a - window(foot=27 * MM, **LIFTER).a


def land_from_a_cut(law, **end):
    return law(foot=20 * MM, **LEAK, **end).a


# The function whose docstring holds the example; what it gives; the number as the docstring prints it; its unit there.
EXAMPLES = [
    (loss, lambda: loss(1.0, 10.0), "2.0667", 1),
    (hole, lambda: hole(1 * MM, 1 * MM).a, "6.4744e10", 1),
    (bore, lambda: bore(3 * MM, 0.2).a, "1.0060e11", 1),
    (opening, lambda: opening(0.785398e-6, 0.0).a, "2.4e10", 1),
    (fit, lambda: fit(21.42 * MM, 21.38 * MM, 10 * MM, 0.0).a, "2.235e14", 1),
    (groove, lambda: groove(50 * MM, 50 * UM, 10 * MM, 0, 0, 2 * math.pi).a, "2.450e13", 1),
    (film, lambda: film(10 * MM, 67.2 * MM, 20 * UM).a, "2.232e14", 1),
    (edges, lambda: edges(10 * MM, 20 * UM).a, "2.546e12", 1),
    (beside, lambda: beside(resistance(1.0, 1.0), resistance(1.0, 1.0)).b, "b/4", None),
    (window, covered_by_a_millimetre, "1.25e14", 1),
    (band, lambda: band(20 * MM, 28 * MM, 32 * MM, 0.5 * MM).a, "4.092e11", 1),
    (run, lambda: run(10 * MM, 0.1).a, "4.074e8", 1),
    (galleries.beside, lambda: galleries.beside(10 * MM, 10 * MM, 20 * MM).a, "2.332e8", 1),
    (past_body, lambda: past_body(gallery_offset=15 * MM, band_depth=1 * MM, **ALONG).first.a, "8.047e7", 1),
    (
        past_waist,
        lambda: past_waist(gallery_offset=10 * MM, waist_depth=5 * MM, **WAIST).first.a,
        "4.023e7",
        1,
    ),
    (land_above, lambda: land_above(foot=26 * MM, bore_top=66 * MM, **LEAK).a, "2.235e14", 1),
    (land_below, lambda: land_below(foot=16 * MM, bore_bottom=34 * MM, **LEAK).a, "2.235e14", 1),
    (
        land_above_two_bands,
        lambda: (
            land_above_two_bands(
                foot=26 * MM, bore_top=66 * MM, second_from=20 * MM, second_to=22 * MM, **LEAK
            ).a
        ),
        "2.235e14",
        1,
    ),
    (
        land_below_two_bands,
        lambda: (
            land_below_two_bands(
                foot=16 * MM,
                bore_bottom=34 * MM,
                wheel_window=0.0,
                second_from=34 * MM,
                second_to=36 * MM,
                **LEAK,
            ).a
        ),
        "2.235e14",
        1,
    ),
    (
        past_two_bands,
        lambda: (
            past_two_bands(
                gallery_offset=15 * MM,
                band_depth=1 * MM,
                second_from=40 * MM,
                second_to=42 * MM,
                second_depth=1 * MM,
                **ALONG,
            ).first.a
        ),
        "8.047e7",
        1,
    ),
    (
        past_bush,
        lambda: (
            past_bush(
                gallery_offset=15 * MM,
                gallery_diameter=10 * MM,
                shaft=16 * MM,
                bore=16.04 * MM,
                wall=2 * MM,
                window_height=50 * MM,
                window_diameter=5 * MM,
                foot=20 * MM,
                band_from=28 * MM,
                band_to=32 * MM,
                band_depth=1 * MM,
            ).first.a
        ),
        "8.047e7",
        1,
    ),
    (
        land_below_wheel,
        lambda: (
            land_from_a_cut(land_below_wheel, bore_bottom=25 * MM, wheel_window=12 * MM)
            / land_from_a_cut(land_below, bore_bottom=32 * MM)
            * 32
        ),
        "32",
        1,
    ),
    (notched_disc, lambda: notched_disc(seated=0, base_circle=1, **DISC).second.a, "1.027e13", 1),
    (timed_hole, lambda: states_open(0.3), "3", 1),
    (
        rocker_hole,
        lambda: rocker_hole(1 * MM, 3 * MM, 2 * MM, 8 * MM, 40 * MM, 0, 0).a / hole(1 * MM, 3 * MM).a,
        "1",
        1,
    ),
    (swing_apart, lambda: swing_apart(8 * MM, 40 * MM, 0.1 * MM, 6 * MM), "0.7", MM),
    (filter_element, lambda: filter_element(10e-3 / 60, 1e4, 0.01).a, "6.0e9", 1),
    (flow, lambda: flow(1e5, resistance(2.4e10, 0.0), 0.0085, 830.0), "4.902e-4", 1),
    (circle_between, lambda: circle_between(2.0, 0.5, 1.0), "0.614185", 1),
    (lens, lambda: lens(2.0, 2.0, 1.0), "1.228370", 1),
    (drawn_flow, lambda: drawn_flow(60 * MM, 60 * UM, 8 * MM, 0.6, 70.0), "6.05e-7", 1),
    (side_flow, lambda: side_flow(4.0, 1.0, 1.0)[0], "4.4", 1),
    (side_flow, lambda: side_flow(4.0, 1.0, 1.0)[1], "0.925", 1),
    (displaced, lambda: displaced(12e-6, 1.0, 50 * math.pi), "3e-4", 1),
    (most_drawn, lambda: most_drawn(14 * MM, 176 * MM, 3.5, 880.0), "9.13e-5", 1),
    (slip, lambda: slip(8.5714e-13).a, "1.16667e12", 1),
    (spring_valve, lambda: spring_valve(1.2e5, 0.8e5, 5e-9)[0], "2e-4", 1),
    (
        metering_size,
        lambda: diameter_of(
            metering_size(
                1e-6, 1e5, resistance(0.0, 0.0), lambda area: opening(area, 0.0), (0.0, 1e-6), 0.01, 1e-9
            )
        ),
        "0.1339",
        MM,
    ),
    (walther, lambda: walther(32 * CST, 313.0, 5.4 * CST, 373.0).intercept, "9.5259", 1),
    (walther, lambda: walther(32 * CST, 313.0, 5.4 * CST, 373.0).slope, "3.7449", 1),
    (
        kinematic_viscosity,
        lambda: kinematic_viscosity(60 + C, walther(404 * CST, 40 + C, 28 * CST, 100 + C)),
        "132.13",
        CST,
    ),
    (density, lambda: density(100 + C, 870.0), "816", 1),
    (density_from_60f, lambda: density_from_60f(100 + C, 870.0), "816.14", 1),
    (oil_at, lambda: oil_at(100 + C, 100 * CST, 14 * CST, 870.0)[0], "11.4", 1e-3),
    (viscosity_index, lambda: viscosity_index(73.3 * CST, 8.86 * CST), "92", 1),
    (growth, lambda: growth(11.7e-6, 0.2, 100 + C, 20 + C), "0.1872", MM),
    (
        hot_preload,
        lambda: (
            -hot_preload(
                0.0,
                (np.array(11.4e-6 * 0.23 * 75), np.array(21.5e-6 * 0.12 * 85)),
                (np.array(11.7e-6 * 0.2 * 80), np.array(11.7e-6 * 0.045 * 75)),
            )
        ),
        "0.1893",
        MM,
    ),
    (at_the_cup, lambda: at_the_cup(30, 1.5), "20", 1),
    (cold_preload, lambda: cold_preload((550, 1750, 9500, 200), (7600, 40, 4335)), "25", 1),
    (travel_left, lambda: travel_left(150, 60), "90", 1),
    (needed_length, lambda: needed_length(9.5, 0.005, 0.025, 0.0), "9.520", 1),
    (lobe, lambda: lobe(7 * MM, 0.15 * MM, 270 * DEG, 1.27 * MM, 212 * DEG).half_width / DEG, "75.63", 1),
    (lobe, lambda: lobe(7 * MM, 0.15 * MM, 270 * DEG, 1.27 * MM, 212 * DEG).power, "1.0776", 1),
    (drain_flow, lambda: drain_flow(2 * MM, 40 * MM, **DRAIN), "1.916e-5", 1),
    (depth_for, lambda: depth_for(1.916e-5, 40 * MM, **DRAIN), "2.000", MM),
    (gas_density, lambda: gas_density(100 + C), "0.9458", 1),
    (flooding_limit, lambda: flooding_limit(0.0, **FLOODED), "1.755e-5", 1),
    (flooding_limit, lambda: flooding_limit(5e-3 / 60, **FLOODED), "6.27e-6", 1),
    (wall_oil, lambda: wall_oil(1e-4, 1.0, 1.0, 1 * CST), "3.127e-4", 1),
    (time_between_levels, lambda: time_between_levels(0.0, lambda h: 1e-4 + 0 * h, 0.03, 0.05, 0.03), "6", 1),
    (cut_off_lift, lambda: cut_off_lift(20 * MM, 9 * MM, 28 * MM, 50 * MM, 10 * MM).lift, "7", MM),
]


def states_open(share):
    """Of ten, counted by what they let by."""
    states = timed_hole(2 * MM, 5 * MM, share, (np.arange(10) + 0.5) / 10)
    return float(np.sum(hole(2 * MM, 5 * MM).a / states.a))


def diameter_of(area):
    return math.sqrt(4 * float(area) / math.pi)


def one_in_the_last_place(printed):
    digits, _, power = printed.partition("e")
    return 10.0 ** (int(power or 0) - len(digits.partition(".")[2]))


@pytest.mark.parametrize(
    ("function", "gives", "printed", "unit"), EXAMPLES, ids=[f"{f.__name__} {p}" for f, _, p, _ in EXAMPLES]
)
def test_an_example_is_what_the_function_gives(function, gives, printed, unit):
    example = inspect.getdoc(function).partition("Example:")[2]
    assert re.search(rf"(?<![\d.]){re.escape(printed)}(?![\d]|\.\d|e\d)", example)
    if unit is None:
        assert gives() == pytest.approx(0.25)
    else:
        assert float(gives()) / unit == pytest.approx(
            float(printed), abs=0.6 * one_in_the_last_place(printed)
        )


def test_every_law_has_an_example_that_is_computed():
    # No way at all and nothing in the way have nothing to compute.
    computed = {f for f, *_ in EXAMPLES if f.__name__ in LAWS}
    assert {law.function for law in LAWS.values()} == computed | {clear, joined, shut}


def test_grades_of_as_its_docstring_says():
    assert '10.5 cSt: ("30",); 7.0 cSt: ("12", "16", "20")' in inspect.getdoc(grades_of)
    assert grades_of(10.5 * CST) == ("30",)
    assert grades_of(7.0 * CST) == ("12", "16", "20")
