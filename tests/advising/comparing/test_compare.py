"""Two builds side by side: what differs, what becomes of findings, and the numbers of both."""

import json

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.advising.comparing.checked import checked
from upfeed.advising.comparing.compare import compare, side_by_side
from upfeed.answering.wire import encode

LARGE = {"slots": {"lifter": "BW-133"}}
ONE_LARGE = {"slots": {"lifter": [{"at": "all", "part": "BW-118"}, {"at": "6 exhaust", "part": "BW-133"}]}}
BLIND = {"slots": {"lifter": "BW-121"}}
LOOSE = {"settings": {"preload": "-10 thou"}}
SIX = {"family": "dunmere-six"}


@pytest.fixture(scope="module")
def beside(library, sheet_of):
    def told(first, second, system="shop", samples=0):
        return compare(sheet_of(first), sheet_of(second), library, system, samples)

    return told


def at(told, name):
    return next(c for point in told.points for c in point.computed if c.name == name)


@pytest.fixture(scope="module")
def some(library, sheet_of):
    """Builds of the demo and how they compare, each checked once."""
    builds = [{}, LARGE, ONE_LARGE, LOOSE, SIX, {"open": ["lifter"]}]
    known = [checked(sheet_of(build), library, "shop", 0) for build in builds]
    return lambda i, j: side_by_side(known[i], known[j], library.vocabulary, "shop")


INDEX = st.integers(0, 5)


@given(INDEX)
def test_a_build_beside_itself_differs_in_nothing(some, i):
    told = some(i, i)
    assert (told.slots, told.settings, told.points_held, told.gone, told.new) == ([], [], [], [], [])
    assert {kept.change for kept in told.kept} <= {"same", None}
    numbers = [c for point in told.points for c in point.computed] + told.timing + told.preload
    assert all(c.first == c.second and c.first_lacks == c.second_lacks for c in numbers)
    assert {c.times for c in numbers} <= {1.0, None}


@given(INDEX, INDEX)
def test_the_other_way_round_everything_changes_sides(some, i, j):
    there, back = some(i, j), some(j, i)
    assert (there.first, there.second) == (back.second, back.first)
    assert (there.gone, there.new) == (back.new, back.gone)
    turned = {"worse": "lighter", "lighter": "worse", "same": "same", "mixed": "mixed", None: None}
    assert [(k.first_id, k.second_id, turned[k.change]) for k in there.kept] == [
        (k.second_id, k.first_id, k.change) for k in back.kept
    ]
    for one, other in ((there.settings, back.settings), (there.points_held, back.points_held)):
        assert [(d.name, d.first, d.second, d.same_value) for d in one] == [
            (d.name, d.second, d.first, d.same_value) for d in other
        ]
    sides = {"first": "second", "second": "first", None: None}
    key = str
    assert sorted(((s.slot, s.first, s.second, s.only_in) for s in there.slots), key=key) == sorted(
        ((s.slot, s.second, s.first, sides[s.only_in]) for s in back.slots), key=key
    )


@given(INDEX, INDEX)
def test_ratios_are_one_another_s_inverse_and_the_numbers_those_of_the_builds(some, i, j):
    there, back = some(i, j), some(j, i)
    other = {c.name: c for point in back.points for c in point.computed}
    for c in (c for point in there.points for c in point.computed):
        assert (c.first, c.second) == (other[c.name].second, other[c.name].first)
        if c.times:
            assert c.times * other[c.name].times == pytest.approx(1, rel=1e-7)
            assert c.times == pytest.approx(c.second / c.first, rel=1e-7)


@given(INDEX, INDEX)
def test_what_has_no_number_says_why(some, i, j):
    told = some(i, j)
    for c in [c for point in told.points for c in point.computed] + told.timing + told.preload:
        assert (c.first is None) == (c.first_lacks is not None)
        assert (c.second is None) == (c.second_lacks is not None)
    for held in (held for point in told.points for held in (point.first, point.second)):
        assert (held.speed_rpm is None) == (held.lacks is not None)


def test_the_numbers_are_those_of_two_checks(beside, ask):
    told, one, other = beside({}, LARGE), ask({}), ask(LARGE)
    for answer, side in ((one, "first"), (other, "second")):
        for computed in answer.points[0].computed:
            assert getattr(at(told, computed.name), side) == computed.build
    # The reference beside a build of its family: the ratio is the one that the build's own check tells.
    for computed in other.points[0].computed:
        assert at(told, computed.name).times == computed.ratio


def test_another_part_tells_its_values_and_what_is_new(beside):
    told = beside({}, LARGE)
    (slot,) = told.slots
    assert (slot.slot, slot.first.part, slot.second.part, slot.first.at) == (
        "lifter",
        "BW-118",
        "BW-133",
        "all",
    )
    differing = {d.name: (d.first.shown, d.second.shown) for d in slot.values if not d.same_value}
    assert differing == {
        "lifter.feed_hole": ("0.052 in", "0.060 in"),
        "lifter.notch_area": ("0.042 mm2", "0.085 mm2"),
        "lifter.cup_hole": ("0.055 in", "0.070 in"),
    }
    assert [f.rule for f in told.new] == ["more-oil-than-designed"]
    assert (told.gone, told.kept, told.settings) == ([], [], [])


def test_one_odd_part_is_told_where_it_stands(beside):
    (slot,) = beside({}, ONE_LARGE).slots
    assert (slot.first.at, slot.second.at) == ("6 exhaust", "6 exhaust")


def test_a_setting_is_told_with_its_unit_in_either_system(beside):
    for system, first, second in (("shop", "25 thou", "-10 thou"), ("si", "0.635 mm", "-0.254 mm")):
        (setting,) = beside({}, LOOSE, system).settings
        assert (setting.name, setting.first.shown, setting.second.shown) == (
            "settings.preload",
            first,
            second,
        )
        assert (setting.first.unit, setting.same_value) == ("m", False)


def test_the_same_value_otherwise_known_is_told_as_such(beside):
    known = {
        "slots": {
            "lifter": {"part": "BW-118", "has": {"feed_hole": {"is": "0.052 in", "standing": "typical"}}}
        }
    }
    (slot,) = beside({}, known).slots
    (value,) = slot.values
    assert (value.name, value.same_value) == ("lifter.feed_hole", True)
    assert (value.first.standing, value.second.standing) == ("measured", "typical")


def test_a_finding_that_grows_is_kept_and_worse(beside):
    loose, looser = ({"settings": {"preload": preload}} for preload in ("5 thou", "2 thou"))
    there, back = beside(loose, looser), beside(looser, loose)
    grown = [(k.rule, k.change) for k in there.kept if k.change == "worse"]
    assert grown
    assert grown == [(k.rule, "worse") for k in back.kept if k.change == "lighter"]
    for kept in there.kept:
        assert (kept.second_figure is None) or kept.second_figure.value <= kept.first_figure.value


def test_a_finding_at_further_valves_is_the_same_one_grown(beside):
    few = {"slots": {"lifter": [{"at": "all", "part": "BW-118"}, {"at": "3 intake", "part": "BW-121"}]}}
    told = beside(few, BLIND)
    assert {k.second_id for k in told.kept} >= set(told.second.decided_by)
    assert {(k.first_at, k.second_at, k.change) for k in told.kept} == {("3 intake", "all", "worse")}
    assert {k.change for k in beside(BLIND, few).kept} == {"lighter"}


def test_two_families_are_compared_plainly(beside):
    told = beside({}, SIX)
    assert not told.same_family
    assert "two families" in told.cautions[0]
    shaft = next(s for s in told.slots if s.slot == "rocker_shaft")
    assert (shaft.first, shaft.only_in, shaft.second.at) == (None, "second", "all")
    jets = [c for point in told.points for c in point.computed if c.first is None and c.second is not None]
    assert any("engine has nothing" in c.first_lacks for c in jets)
    pressure = at(told, "gallery_pressure.hot_idle")
    assert pressure.times == pytest.approx(pressure.second / pressure.first, rel=1e-7)


def test_valves_are_never_paired_across_engines_of_other_valves(beside):
    odd = {"family": "dunmere-six", "slots": {"pushrod": [{"at": "3 intake", "part": "PR-23"}]}}
    rods = [s for s in beside({}, odd).slots if s.slot == "pushrod"]
    assert [(s.only_in, (s.first or s.second).at) for s in rods] == [
        ("first", "all"),
        ("second", "all except 3 intake"),
        ("second", "3 intake"),
    ]


def test_what_is_left_open_is_neither_a_part_nor_a_number(beside):
    told = beside({}, {"open": ["lifter"]})
    (slot,) = told.slots
    assert (slot.second.part, slot.second.name, slot.values) == (None, "left open", [])
    assert told.second.verdict == "cannot_tell_yet"
    assert all(point.second.lacks == "left open: lifter" for point in told.points)


def test_a_missing_measurement_leaves_bounds_and_no_ratio(beside):
    told = beside({}, {"slots": {"lifter": {"part": "BW-118", "has": {"notch_area": None}}}})
    flow = at(told, "top_end_flow.hot_idle")
    assert (flow.second, flow.times) == (None, None)
    assert flow.second_band[0] < flow.first < flow.second_band[1]
    assert "within the bounds" in flow.second_lacks
    assert [u.name for u in told.second.unknown] == ["lifter.notch_area"]


def test_draws_bound_both_sides(beside):
    told = beside({}, LARGE, samples=16)
    flow = at(told, "top_end_flow.hot_idle")
    assert flow.first_band[0] < flow.first < flow.first_band[1]
    assert flow.second_band[0] < flow.second < flow.second_band[1]
    assert (told.first.samples, told.second.samples) == (16, 16)


def test_the_wire_shape_reads_back_and_holds_no_open_map(beside):
    told = beside({}, LARGE)
    content = encode(told)
    assert msgspec.json.decode(content, type=type(told)) == told
    assert json.loads(content)["points"][0]["first"]["speed_rpm"] == 650.0
    assert content == encode(beside({}, LARGE))
