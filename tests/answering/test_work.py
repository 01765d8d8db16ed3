"""How much there is to solve, counted by hand."""

import pytest

from upfeed.answering.work import Work, work


def test_a_known_build(library, sheet_of):
    """Itself and the reference at four points, intake and exhaust; each draw is of both, one more is as given."""
    assert work(sheet_of(), library, 0) == Work(engines=2, draws=0, points=4, valves=2)
    assert work(sheet_of(), library, 64) == Work(engines=2, draws=129, points=4, valves=2)
    assert work(sheet_of(), library, 64).states == 131 * 8


def test_a_missing_size_is_cornered_and_not_drawn(library, sheet_of, given):
    """Low, high and as designed."""
    build = sheet_of({"slots": {"lifter": {"has": given("BW-118", "feed_hole") | {"feed_hole": None}}}})
    found = work(build, library, 64)
    assert (found.engines, found.draws) == (3 + 1, 0)


def test_every_odd_lifter_counts(library, sheet_of):
    odd = {"part": "BW-118", "has": {"feed_hole": "0.050 in"}, "at": "3 intake"}
    assert work(sheet_of({"slots": {"lifter": [odd]}}), library, 0).valves == 3


def test_along_a_gallery_every_valve_counts(library, sheet_of):
    plan = library.knowledge.families["wexcombe-four"].plan
    assert work(sheet_of(family="wexcombe-four"), library, 0).valves == len(plan.valves)


@pytest.mark.parametrize("most", [15, 16, 23, 24, 39, 40, 1000])
def test_as_many_draws_as_fit(library, sheet_of, most):
    within = work(sheet_of(), library, 256).samples_within(most)
    if within is None:
        assert work(sheet_of(), library, 0).states > most
    else:
        assert work(sheet_of(), library, within).states <= most < work(sheet_of(), library, within + 1).states
