"""Filling a build up from its family's reference, and positions."""

import itertools

import pytest

from upfeed.knowledge.build import positions, reference_build, resolve
from upfeed.reading.faults import DataFaults


@pytest.fixture
def build(library, sheet_of):
    def resolved(**more):
        return resolve(sheet_of(**more), library.knowledge, library.vocabulary)

    return resolved


@pytest.fixture
def tarn(library):
    return library.knowledge.families["tarn-v8"]


def parts(built, slot):
    return [fitted.id if fitted else None for fitted in built.fitted[slot]]


def test_a_build_that_names_nothing_but_its_family_is_the_reference(build, library, tarn):
    own, reference = build(), reference_build(tarn, library.knowledge, library.vocabulary)
    assert own.fitted == own.designed == reference.fitted
    assert own.settings == reference.settings
    assert own.points == reference.points
    assert not any(fitted.chosen for row in own.fitted.values() for fitted in row)


def test_a_slot_has_a_part_for_each_valve_or_one_for_the_engine(build):
    built = build()
    assert parts(built, "lifter") == ["BW-118"] * 16
    assert parts(built, "oil_pump") == ["VS-135"]
    assert built.at("oil_pump", 11) is built.fitted["oil_pump"][0]


def test_a_named_part_takes_all_places_of_its_slot_and_counts_as_chosen(build):
    built = build(slots={"lifter": "BW-126"})
    assert parts(built, "lifter") == ["BW-126"] * 16
    assert all(fitted.chosen for fitted in built.fitted["lifter"])
    assert parts(built, "pushrod") == ["PR-7"] * 16


# Valves in order: 1 intake, 1 exhaust, 2 intake, ...
@pytest.mark.parametrize(
    ("at", "places"),
    [
        ("all", range(16)),
        ("intake", range(0, 16, 2)),
        ("exhaust", range(1, 16, 2)),
        ("3", [4, 5]),
        ("3 intake", [4]),
        ("8 exhaust", [15]),
    ],
)
def test_positions_mean_valves(tarn, at, places):
    assert positions(at, tarn.plan, tarn.plan.slots["lifter"]) == tuple(places)


@pytest.mark.parametrize("at", ["9", "0", "9 intake", "inlet", "3 Intake", "intake 3", "", "ALL"])
def test_other_words_are_no_position(tarn, at):
    assert positions(at, tarn.plan, tarn.plan.slots["lifter"]) is None


def test_a_part_of_the_whole_engine_has_one_position(tarn):
    assert positions("all", tarn.plan, tarn.plan.slots["oil"]) == (0,)
    assert positions("3", tarn.plan, tarn.plan.slots["oil"]) is None


ROWS = (
    {"at": "all", "part": "BW-126"},
    {"at": "exhaust", "part": "BW-110"},
    {"at": 3, "part": "BW-131"},
    {"at": "3 intake", "part": "BW-121"},
)


@pytest.mark.parametrize("rows", list(itertools.permutations(ROWS)))
def test_the_more_particular_position_wins_whatever_the_order(build, rows):
    found = parts(build(slots={"lifter": list(rows)}), "lifter")
    assert found[4:6] == ["BW-121", "BW-131"]
    assert found[:4] == ["BW-126", "BW-110"] * 2
    assert found[6:] == ["BW-126", "BW-110"] * 5


def test_positions_left_out_keep_the_reference(build):
    built = build(slots={"lifter": [{"at": "3 intake", "part": "BW-121"}]})
    assert parts(built, "lifter") == ["BW-118"] * 4 + ["BW-121"] + ["BW-118"] * 11
    assert [fitted.chosen for fitted in built.fitted["lifter"]].count(True) == 1


def test_positions_of_equal_reach_must_not_meet(faults_of):
    told = faults_of(
        family="ashquill-twin",  # two cylinders: an intake row is as long as a cylinder
        slots={"pushrod": [{"at": "intake", "has": {}}, {"at": "1", "has": {}}]},
    )
    assert len(told) == 1
    assert "a second pushrod at 1" in told[0]


def test_one_catalogue_part_in_several_positions_is_one_part(build):
    built = build(slots={"lifter": [{"at": "intake", "part": "BW-121"}, {"at": "exhaust", "part": "BW-121"}]})
    assert len({fitted.key for fitted in built.fitted["lifter"]}) == 1


def test_parts_with_values_of_their_own_stay_apart(build):
    rows = [{"at": at, "part": "BW-118", "has": {"feed_hole": "0.06 in"}} for at in ("intake", "exhaust")]
    assert len({fitted.key for fitted in build(slots={"lifter": rows}).fitted["lifter"]}) == 2


def test_values_go_over_the_part_and_that_over_the_typical_one(build, library):
    built = build(
        slots={"lifter": {"part": "BW-118", "fill_from": "generic-disc-lifter", "has": {"wall": "2.5 mm"}}}
    )
    fitted = built.fitted["lifter"][0]
    assert fitted.has["wall"].magnitude == pytest.approx(2.5e-3)
    assert fitted.has["notch_area"] == library.knowledge.parts["BW-118"].has["notch_area"]
    assert fitted.has["wall"].origin.pointer == "/slots/lifter/has/wall"


def test_a_typical_part_fills_only_what_is_not_given(build, library):
    built = build(slots={"lifter": {"fill_from": "generic-disc-lifter", "has": {"feed_hole": "0.06 in"}}})
    fitted, typical = built.fitted["lifter"][0], library.knowledge.parts["generic-disc-lifter"].has
    assert fitted.has["feed_hole"].magnitude == pytest.approx(1.524e-3)  # 0.06 times 25.4 mm
    assert fitted.has["notch_area"] == typical["notch_area"]
    assert fitted.id == ""


def test_null_takes_a_value_away(build):
    built = build(
        slots={"lifter": {"part": "BW-118", "has": {"feed_hole": None}}},
        settings={"preload": None},
        points={"hot_idle": {"speed": None}},
    )
    assert "feed_hole" not in built.fitted["lifter"][0].has
    assert "notch_area" in built.fitted["lifter"][0].has
    assert "preload" not in built.settings
    assert "speed" not in built.points["hot_idle"]
    assert "speed" in built.points["cruise"]
    assert "feed_hole" in built.designed["lifter"][0].has


def test_settings_and_points_go_over_the_familys(build):
    built = build(settings={"preload": "30 thou"}, points={"hot_idle": {"speed": "700 rpm"}})
    assert built.settings["preload"].written == "30 thou"
    assert built.settings["assembly_temperature"].written == "20 C"
    assert built.points["hot_idle"]["speed"].written == "700 rpm"
    assert built.points["hot_idle"]["oil_temperature"].written == "100 C"


def test_an_open_slot_is_empty(build):
    built = build(open=["lifter"])
    assert parts(built, "lifter") == [None] * 16
    assert built.open_slots == ("lifter",)
    assert built.at("lifter", 3) is None


def test_an_unknown_family_is_a_fault(library, sheet_of):
    sheet = sheet_of()
    other = type(sheet)(**{f: getattr(sheet, f) for f in sheet.__struct_fields__} | {"family": "tarn-v9"})
    with pytest.raises(DataFaults, match="Did you mean tarn-v8"):
        resolve(other, library.knowledge, library.vocabulary)
