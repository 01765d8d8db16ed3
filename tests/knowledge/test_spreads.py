"""How far a value may be off: its own tolerance, else what its standing says."""

import pytest

from upfeed.knowledge.records import STANDINGS, Value
from upfeed.knowledge.spreads import half_width
from upfeed.reading.faults import Origin


def valued(magnitude, standing="published", plus_minus=None):
    return Value(magnitude, str(magnitude), standing, "", Origin(), plus_minus)


def spread_of(library, name):
    return library.vocabulary.spreads.get(name)


def test_a_stated_tolerance_goes_before_the_standing(library):
    of = spread_of(library, "lifter.feed_hole")
    assert half_width(valued(1.3e-3, "assumed", 2e-5), of) == 2e-5
    assert half_width(valued(1.3e-3, "assumed", 0.0), of) == 0.0
    assert half_width(valued(1.3e-3, "published"), of) == pytest.approx(0.03 * 1.3e-3)


def test_some_spreads_are_lengths_and_some_are_shares(library):
    height = spread_of(library, "lifter.band_from")
    assert half_width(valued(0.03, "measured"), height) == half_width(valued(0.3, "measured"), height)
    slip = spread_of(library, "oil_pump.slip")
    assert half_width(valued(2e-12), slip) == pytest.approx(2 * half_width(valued(1e-12), slip))
    assert half_width(valued(-0.5e-3), spread_of(library, "block.bleed_length")) > 0


def test_a_difference_of_temperatures_has_no_zero_point(library):
    assert half_width(valued(373.15), spread_of(library, "points.oil_temperature")) == pytest.approx(4.0)


def test_choices_counts_and_what_defines_a_point_have_none(library):
    assert half_width(valued("disc"), None) == 0.0
    for name in ("block.main_count", "points.speed", "camshaft.intake_low_lift", "oil_pump.drive_ratio"):
        assert spread_of(library, name) is None


def test_every_size_has_a_spread_that_grows_as_the_standing_falls(library):
    for name, spread in library.vocabulary.spreads.items():
        sizes = [spread.sizes[standing] for standing in STANDINGS]
        amounts = [size.amount for size in sizes]
        assert len({size.is_share for size in sizes}) == 1, name
        assert 0 < amounts[0] <= amounts[1] <= amounts[2] <= amounts[3], name
        assert not sizes[0].is_share or amounts[3] < 1, name
