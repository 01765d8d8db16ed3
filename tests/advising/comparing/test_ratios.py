"""Bands of ratios between two builds: what both share is drawn alike in both and cancels."""

import json
from functools import cache

import numpy as np
import pytest

from upfeed.advising.comparing.checked import checked
from upfeed.advising.comparing.compare import side_by_side
from upfeed.advising.comparing.ratios import IN_SOME_DRAWS, NO_AMOUNT, NO_DRAWS, NONE_OF_IT
from upfeed.flow.bands import ENDS
from upfeed.flow.drawn import drawn
from upfeed.flow.survey import survey

COUNT = 16
LARGE = {"slots": {"lifter": "BW-133"}}
FLOW, PRESSURE = "worst_valve_flow.hot_idle", "gallery_pressure.hot_idle"


@pytest.fixture(scope="module")
def beside(library, sheet_of):
    """All numbers of two builds side by side, by name; each build is checked once."""

    @cache
    def known(build, samples):
        return checked(sheet_of(json.loads(build)), library, "shop", samples)

    def told(first, second, samples=COUNT):
        one, other = (known(json.dumps(build), samples) for build in (first, second))
        comparison = side_by_side(one, other, library.vocabulary, "shop")
        points = [c for point in comparison.points for c in point.computed]
        return {c.name: c for c in [*points, *comparison.timing, *comparison.preload]}

    return told


@pytest.fixture(scope="module")
def to_large(beside):
    return beside({}, LARGE)


@pytest.fixture(scope="module")
def columns(library, sheet_of):
    """Draws of a number of a build that is drawn by itself: a row for each limit of trapped air."""

    @cache
    def draws(build):
        return drawn(
            survey(sheet_of(json.loads(build)), library.knowledge, library.vocabulary),
            library.vocabulary,
            COUNT,
        )

    def of(build, name, valve=0):
        return np.reshape(draws(json.dumps(build)).known(name, valve), (-1, COUNT))

    return of


def ends(ratios):
    """As far apart as either limit has them."""
    low, high = np.quantile(ratios, ENDS, axis=1)
    return low.min(), high.max()


def test_between_a_build_and_itself_every_ratio_is_exactly_one(beside):
    numbers = beside(LARGE, LARGE, 8).values()
    bands = {c.times_band for c in numbers if c.times is not None}
    assert bands == {(1.0, 1.0)}
    assert {c.times for c in numbers} == {1.0, None}


@pytest.mark.parametrize("name", [FLOW, PRESSURE])
def test_bands_are_percentiles_of_ratios_draw_by_draw(to_large, columns, name):
    first, second = columns({}, name), columns(LARGE, name)
    assert to_large[name].times_band == pytest.approx(ends(second / first), rel=1e-7)


@pytest.mark.parametrize(("name", "narrower"), [(FLOW, 1.0), (PRESSURE, 0.5)])
def test_what_both_share_cancels(to_large, columns, name, narrower):
    """All of the pressure hangs on bearings and pump, of the flow only a part: its notch is not the same."""
    first, second = columns({}, name), columns(LARGE, name)
    shuffled = np.random.default_rng(7).permuted(first, axis=1)
    low, high = ends(second / shuffled)
    near, far = to_large[name].times_band
    assert far - near < narrower * (high - low)
    assert near < to_large[name].times < far


def test_a_ratio_between_engines_with_one_and_with_two_limits_is_as_wide_as_either(beside, columns):
    six = {"family": "dunmere-six"}
    first, second = columns({}, PRESSURE), columns(six, PRESSURE)
    assert (len(first), len(second)) == (1, 2)
    assert beside({}, six)[PRESSURE].times_band == pytest.approx(ends(second / first), rel=1e-7)
    assert beside(six, {})[PRESSURE].times_band == pytest.approx(ends(first / second), rel=1e-7)


def test_the_slowest_valve_is_looked_for_in_every_draw_of_either(beside, columns):
    odd = {"slots": {"lifter": [{"at": "all", "part": "BW-118"}, {"at": "3 intake", "part": "BW-126"}]}}
    name = "first_oil.hot_idle"
    first, second = (np.max([columns(of, name, valve) for valve in range(16)], axis=0) for of in ({}, odd))
    assert beside({}, odd)[name].times_band == pytest.approx(ends(second / first), rel=1e-7)


def test_without_draws_there_are_no_bands_and_it_is_said(beside):
    numbers = beside({}, LARGE, 0).values()
    assert {c.times_band for c in numbers} == {None}
    assert {c.times_band_lacks for c in numbers} == {NO_DRAWS, NO_AMOUNT}


def test_what_is_not_known_of_either_has_no_band_and_says_so(beside):
    blind = {"slots": {"lifter": "BW-121"}}
    first_oil = beside({}, blind, 2)["first_oil.hot_idle"]
    assert (first_oil.times, first_oil.times_band) == (None, None)
    assert first_oil.times_band_lacks == "it is not known of the second build"
    assert beside(blind, {}, 2)[FLOW].times_band_lacks == NONE_OF_IT
    both = beside(blind, blind, 2)["first_oil.hot_idle"]
    assert both.times_band_lacks == "it is not known of the first and the second build"


def test_a_build_of_which_something_is_missing_is_not_drawn(beside):
    missing = {"slots": {"lifter": {"part": "BW-118", "has": {"notch_area": None}}}}
    for pair, side in (((missing, {}), "first"), (({}, missing), "second")):
        number = beside(*pair, 2)[PRESSURE]
        assert number.times_band is None
        assert (
            number.times_band_lacks
            == f"something of the {side} build is not known, and nothing of it was drawn"
        )


def test_a_number_that_some_draws_do_not_have_is_not_bounded(beside):
    """Near full lift the band just leaves the gallery, or in some draws just stays."""
    low = {"band_from": {"is": "1.01 in", "plus_minus": "0.02 in"}}
    number = beside({}, {"slots": {"lifter": {"part": "BW-118", "has": low}}})["cut_off_lift"]
    assert number.times > 1
    assert (number.times_band, number.times_band_lacks) == (None, IN_SOME_DRAWS)


def test_every_number_has_a_band_or_says_why_not(to_large):
    for c in to_large.values():
        assert (c.times_band is None) == (c.times_band_lacks is not None)
        assert c.times_band is None or c.times is not None
