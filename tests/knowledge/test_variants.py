"""Corner cases where something is not known, and how valves are called."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from upfeed.knowledge.build import positions, resolve
from upfeed.knowledge.variants import MOST_CORNERS, corners, lacking, valve_names, variant
from upfeed.physics.timing import lobe_exists
from upfeed.reading.faults import DataFaults

VALVES = 16


@pytest.fixture(scope="module")
def cornered(library, sheet_of):
    def found(**more):
        build = resolve(sheet_of(**more), library.knowledge, library.vocabulary)
        return corners(build, library.vocabulary)

    return found


@pytest.fixture(scope="module")
def tarn(library, sheet_of):
    return resolve(sheet_of(), library.knowledge, library.vocabulary)


def test_a_build_with_nothing_missing_has_one_corner(cornered, tarn):
    found = cornered()
    assert not found.missing
    assert found.variants == (variant(tarn),)
    assert not found.sampled


def test_a_missing_size_is_tried_at_both_ends_and_as_designed(cornered):
    found = cornered(slots={"lifter": {"part": "BW-118", "has": {"feed_hole": None}}})
    (missing,) = found.missing
    assert (missing.name, missing.slot, missing.at) == ("lifter.feed_hole", "lifter", "all")
    tried = [v.at("lifter", 0)["feed_hole"] for v in found.variants]
    assert tried == pytest.approx([0.3e-3, 4e-3, 0.052 * 25.4e-3])
    assert found.settings == tuple((value,) for value in tried)


def test_a_missing_choice_is_tried_at_every_word(cornered):
    found = cornered(slots={"pushrod": {"part": "PR-7", "has": {"drilled": None}}})
    assert {v.at("pushrod", 0)["drilled"] for v in found.variants} == {"drilled", "restricted", "solid"}


def test_what_a_choice_makes_needless_is_not_missing(cornered, given):
    found = cornered(slots={"lifter": {"has": given("BW-121")}})  # blind: it has no notch to measure
    assert not found.missing


def test_an_unknown_choice_makes_what_may_hang_on_it_missing(cornered, given):
    found = cornered(slots={"lifter": {"has": given("BW-118", "metering")}})
    names = {missing.name for missing in found.missing}
    assert names >= {"lifter.metering", "lifter.metering_orifice", "lifter.cup_fit_length"}
    assert "lifter.notch_area" not in names  # it is given


def test_settings_and_points_can_be_missing_too(cornered):
    found = cornered(settings={"preload": None}, points={"cruise": {"speed": None}})
    assert [(m.name, m.at) for m in found.missing] == [
        ("settings.preload", "all"),
        ("points.cruise.speed", "cruise"),
    ]
    tried = {(v.settings["preload"], v.points["cruise"]["speed"]) for v in found.variants}
    assert len(tried) == len(found.variants) == 9


def test_a_value_missing_at_one_valve_is_asked_for_there(cornered):
    rows = [{"at": "3 intake", "part": "BW-118", "has": {"feed_hole": None}}]
    found = cornered(slots={"lifter": rows})
    assert [missing.at for missing in found.missing] == ["3 intake"]
    assert len({v.at("lifter", 0)["feed_hole"] for v in found.variants}) == 1
    assert len({v.at("lifter", 4)["feed_hole"] for v in found.variants}) == 3


def test_corners_are_every_combination(cornered):
    has = {"feed_hole": None, "wall": None, "notch_area": None}
    found = cornered(slots={"lifter": {"part": "BW-118", "has": has}})
    assert len(set(found.settings)) == len(found.variants) == 27
    assert set(found.settings) == set(itertools.product(*(m.ends for m in found.missing)))


def test_too_many_are_sampled_the_same_every_time_with_the_design_among_them(cornered):
    one, other = (cornered(slots={"lifter": {"has": {}}}) for _ in range(2))
    assert one.sampled
    assert len(one.variants) == MOST_CORNERS
    assert one.settings == other.settings
    assert one.settings[0] == tuple(m.designed if m.designed is not None else m.ends[0] for m in one.missing)


def test_an_open_slot_is_not_missing(cornered):
    assert not cornered(open=["lifter"]).missing


@pytest.mark.parametrize("role", ["intake", "exhaust"])
@pytest.mark.parametrize("name", ["lift", "low_lift", "low_duration", "high_lift", "high_duration"])
def test_a_cam_card_with_a_gap_is_tried_as_far_as_a_lobe_can_be(cornered, library, role, name):
    attribute = f"{role}_{name}"
    found = cornered(slots={"camshaft": {"part": "QC-212", "has": {attribute: None}}})
    card = library.vocabulary.kinds["camshaft"].lobes[role].card
    ends = found.missing[0].attribute.possible
    tried = []
    for engine in found.variants:
        values = engine.at("camshaft", 0)
        assert lobe_exists(**{argument: values[of] for argument, of in card.items()})
        tried.append(values[attribute])
    assert all(ends[0] <= value <= ends[1] for value in tried)
    assert len(set(tried)) == 3
    # Where an end was moved, a lobe does not reach further than a little beyond.
    moved = [
        (value, end)
        for value, (end,) in zip(tried, found.settings, strict=True)
        if value != pytest.approx(end)
    ]
    for value, end in moved:
        beyond = dict(found.variants[0].at("camshaft", 0)) | {attribute: value + 1e-3 * (end - value)}
        assert not lobe_exists(**{argument: beyond[of] for argument, of in card.items()})


def test_a_cam_card_that_no_lobe_meets_is_a_fault_at_what_the_build_says(cornered):
    with pytest.raises(DataFaults) as wrong:
        cornered(slots={"camshaft": {"part": "QC-212", "has": {"intake_low_duration": "200 deg"}}})
    (fault,) = wrong.value.faults
    assert fault.origin.pointer == "/slots/camshaft/has/intake_low_duration"
    assert "camshaft QC-212, intake lobe" in str(fault)
    assert "low duration 200 deg" in str(fault)
    assert "Check the cam card." in str(fault)


def test_a_cam_card_with_a_gap_that_no_value_closes_is_a_fault(cornered):
    has = {"intake_low_lift": None, "intake_lift": "0.045 in"}  # below the height of the high duration
    with pytest.raises(DataFaults, match="intake lobe"):
        cornered(slots={"camshaft": {"part": "QC-212", "has": has}})


def test_lacking_names_what_a_check_needs_of_a_part(library):
    kind, has = library.vocabulary.kinds["lifter"], library.knowledge.parts["BW-118"].has
    assert not lacking(kind, has, {})
    assert [a.name for a in lacking(kind, {n: v for n, v in has.items() if n != "wall"}, {})] == ["wall"]
    assert [a.name for a in lacking(kind, {n: v for n, v in has.items() if n != "inner_volume"}, {})] == []


@pytest.mark.parametrize(
    ("indexes", "name"),
    [
        (range(16), "all"),
        (range(0, 16, 2), "intake"),
        (range(1, 16, 2), "exhaust"),
        ([4], "3 intake"),
        ([4, 5], "3 intake, 3 exhaust"),
        ([0, 2, 6, 8, 10, 12, 14], "intake except 3 intake"),
        ([i for i in range(16) if i != 4], "all except 3 intake"),
        ([0, 2], "1 intake, 2 intake"),
    ],
)
def test_valves_are_called_the_shortest_plain_way(tarn, indexes, name):
    assert valve_names(tarn, list(indexes)) == name


@settings(max_examples=200, deadline=None)
@given(st.sets(st.integers(0, VALVES - 1), min_size=1))
def test_a_name_means_the_very_valves_it_was_made_of(tarn, indexes):
    def meant(words):
        plan = tarn.family.plan
        return {i for at in words.split(", ") for i in positions(at, plan, plan.slots["lifter"])}

    group, _, others = valve_names(tarn, sorted(indexes)).partition(" except ")
    assert meant(group) - (meant(others) if others else set()) == indexes
