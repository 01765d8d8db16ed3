"""The shortest land of a lifter at full lift, added up by hand from heights in inches."""

import pytest

from tarn_v8 import PLAN, REFERENCE, VOCABULARY, engine, engines, facts_of
from upfeed.flow.circuit import circuit
from upfeed.flow.facts import Facts
from upfeed.flow.parted import parted
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve

INCH = 25.4e-3

# Base circle 0.55, lift 0.25 at both valves; the foot of a lifted lifter stands at 0.80 above the cam's middle.
HEIGHTS = {
    "camshaft.base_circle_radius": 0.55 * INCH,
    "camshaft.intake_lift": 0.25 * INCH,
    "camshaft.exhaust_lift": 0.25 * INCH,
    "block.bore_top": 2.30 * INCH,
    "block.gallery_height": 1.80 * INCH,
    "block.gallery_diameter": 0.40 * INCH,
    "lifter.band_from": 0.95 * INCH,
    "lifter.band_to": 1.10 * INCH,
}


def shortest(changes, valve=0):
    """Length in inches and place, of the Tarn with these heights."""
    facts = facts_of(engine(HEIGHTS | changes), REFERENCE)
    (length, _), (place, _) = (facts.column(name, valve) for name in ("least_land", "least_land_lies"))
    return length / INCH, place


@pytest.mark.parametrize(
    ("changes", "inches", "place"),
    [
        # 2.30 - (0.80 + 1.10) above, 1.80 - 0.20 - 0.80 = 0.80 below
        ({}, 0.40, "between_band_and_top_of_bore"),
        # 2.30 - (0.80 + 1.48)
        ({"lifter.band_to": 1.48 * INCH}, 0.02, "between_band_and_top_of_bore"),
        # 2.30 - (0.80 + 1.55): the band stands out of its bore
        ({"lifter.band_to": 1.55 * INCH}, -0.05, "between_band_and_top_of_bore"),
        # 1.03 - 0.20 - 0.80
        ({"block.gallery_height": 1.03 * INCH}, 0.03, "between_foot_and_gallery"),
        # a wheel's cut is left out, though only 0.05 lies above it; above the band 0.40 as ever
        (
            {"lifter.foot": "roller", "lifter.wheel_window": 0.75 * INCH, "lifter.guide": "flats"},
            0.40,
            "between_band_and_top_of_bore",
        ),
        # of two bands the upper: 2.30 - (0.80 + 1.40)
        (
            {
                "lifter.bands": "two",
                "lifter.second_band_from": 1.25 * INCH,
                "lifter.second_band_to": 1.40 * INCH,
                "lifter.second_band_depth": 1e-3,
                "lifter.second_feed_hole": 1e-3,
                "lifter.second_wall": 1e-3,
            },
            0.10,
            "between_band_and_top_of_bore",
        ),
    ],
)
def test_the_shorter_land_counts_and_is_named(changes, inches, place):
    length, lies = shortest(changes)
    assert length == pytest.approx(inches, abs=1e-6)
    assert lies == place


def test_each_valve_goes_by_its_own_lobe():
    more_at_the_exhaust = {"camshaft.exhaust_lift": 0.30 * INCH}
    assert shortest(more_at_the_exhaust, valve=0)[0] == pytest.approx(0.40, abs=1e-6)
    assert shortest(more_at_the_exhaust, valve=1)[0] == pytest.approx(0.35, abs=1e-6)


def test_under_a_bush_its_hole_counts_in_place_of_the_gallery():
    bush = {
        "block.lifter_bores": "bushed",
        "block.bush_hole_diameter": 0.10 * INCH,
        "block.bush_hole_height": 1.10 * INCH,
        "block.bush_wall": 0.1 * INCH,
    }
    row = engines(engine(HEIGHTS | bush), REFERENCE)
    made = circuit(row, topology(PLAN, VOCABULARY.kinds, parted(row)))
    facts = Facts(made, solve(made.network))
    # 1.10 - 0.05 - 0.80, where the gallery itself would leave 0.80
    assert facts.column("least_land")[0] / INCH == pytest.approx(0.25, abs=1e-6)
    assert facts.column("least_land_lies")[0] == "between_foot_and_gallery"
