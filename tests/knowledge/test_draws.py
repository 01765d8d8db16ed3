"""Builds and references drawn many times over: what is shared, what is kept possible, what hangs on what."""

import numpy as np
import pytest
from msgspec.structs import replace

from upfeed.knowledge.build import reference_build, resolve
from upfeed.knowledge.draws import draws
from upfeed.knowledge.impossible import can_be
from upfeed.knowledge.records import Slot

COUNT = 64


@pytest.fixture(scope="module")
def drawn(library, sheet_of):
    def draw(build=None, count=COUNT, **more):
        made = resolve(sheet_of(build, **more), library.knowledge, library.vocabulary)
        designed = reference_build(made.family, library.knowledge, library.vocabulary)
        return draws(made, designed, library.vocabulary, count)

    return draw


def column(variants, slot, attribute, valve=0):
    return np.array([variant.at(slot, valve)[attribute] for variant in variants])


def test_a_reference_build_is_drawn_as_its_reference(drawn):
    made = drawn()
    assert made.builds == made.references
    assert not any(i.name.startswith("reference.") for i in made.inputs)


def test_what_differs_is_drawn_for_itself_and_the_rest_for_both(drawn):
    made = drawn(slots={"lifter": "BW-126"})
    names = {i.name for i in made.inputs}
    assert {"lifter.feed_hole", "reference.lifter.feed_hole", "block.lifter_bore"} <= names
    assert "reference.block.lifter_bore" not in names
    for build, reference in zip(made.builds, made.references, strict=True):
        assert build.slots["block"] == reference.slots["block"]
        assert build.settings == reference.settings
    holes = [column(of, "lifter", "feed_hole") for of in (made.builds, made.references)]
    assert abs(np.corrcoef(holes)[0, 1]) < 4 / np.sqrt(COUNT)


def test_a_part_with_one_value_changed_shares_all_others(drawn):
    made = drawn(slots={"lifter": {"part": "BW-118", "has": {"feed_hole": "1.5 mm"}}})
    assert not np.array_equal(*(column(of, "lifter", "feed_hole") for of in (made.builds, made.references)))
    for attribute in ("notch_area", "band_from", "body_diameter"):
        one, other = (column(of, "lifter", attribute) for of in (made.builds, made.references))
        assert np.array_equal(one, other)


def test_an_own_setting_is_drawn_apart_from_the_designed_one(drawn):
    made = drawn(settings={"preload": "25 thou"})
    own, designed = ([v.settings["preload"] for v in of] for of in (made.builds, made.references))
    assert own != designed


def test_the_same_part_is_drawn_the_same_whatever_stands_beside_it(drawn):
    alone = drawn(slots={"lifter": "BW-126"})
    beside = drawn(
        slots={"lifter": "BW-126", "oil": "MO-020", "pushrod": "PR-12"}, settings={"preload": "9 thou"}
    )
    for attribute in ("feed_hole", "notch_area", "band_from"):
        one, other = (column(of.builds, "lifter", attribute) for of in (alone, beside))
        assert np.array_equal(one, other)


def columns_of(made, slot="lifter", of="builds"):
    """Every attribute's draws of a slot's first part."""
    variants = getattr(made, of)
    sizes = (name for name, value in variants[0].at(slot, 0).items() if isinstance(value, float))
    return {name: column(variants, slot, name).tolist() for name in sizes}


def differing(one, other, slot="lifter"):
    """In which attributes two builds, each drawn on its own, have other draws."""
    first, second = columns_of(one, slot), columns_of(other, slot)
    assert first.keys() == second.keys()
    return {name for name in first if first[name] != second[name]}


def test_a_value_given_in_one_build_alone_leaves_all_others_drawn_as_in_the_other(drawn):
    own = {"part": "BW-126", "has": {"feed_hole": "1.5 mm"}}
    plain, given = (drawn(slots={"lifter": lifter}) for lifter in ("BW-126", own))
    assert differing(plain, given) == {"feed_hole"}
    assert differing(given, drawn(slots={"lifter": [{"at": "all", **own}], "oil": "MO-020"})) == set()


def test_the_same_value_given_in_two_builds_is_one_and_another_value_is_not(drawn):
    def given(hole, slip):
        own = {"lifter": {"part": "BW-118", "has": {"feed_hole": hole}}, "oil_pump": {"has": {"slip": slip}}}
        return drawn(slots=own)

    one = given("1.5 mm", "6e-13 m3")
    assert differing(one, given("0.15 cm", "6e-13 m3")) == set()
    assert differing(one, given("0.15 cm", "6e-13 m3"), "oil_pump") == set()
    other = given("1.6 mm", "7e-13 m3")
    assert differing(one, other) == {"feed_hole"}
    holes = [column(made.builds, "lifter", "feed_hole") for made in (one, other)]
    assert abs(np.corrcoef(holes)[0, 1]) < 4 / np.sqrt(COUNT)
    assert differing(one, other, "oil_pump") == {"slip"}


def test_a_part_is_drawn_the_same_in_another_slot_and_in_another_family(library, drawn, sheet_of):
    here = resolve(sheet_of(slots={"lifter": "BW-118"}), library.knowledge, library.vocabulary)
    slots = {**here.family.plan.slots, "follower": Slot("follower", "lifter", "valve")}
    family = replace(here.family, plan=replace(here.family.plan, slots=slots))
    moved = replace(here, family=family, fitted={**here.fitted, "follower": here.fitted["lifter"]})
    made = draws(moved, here, library.vocabulary, COUNT)
    assert columns_of(made, "follower") == columns_of(drawn())
    other = drawn(family="calder-roller-v8", slots={"lifter": "BW-118"})
    assert columns_of(other) == columns_of(drawn(), of="references")


def test_settings_and_points_of_two_families_are_drawn_apart(drawn):
    first, second = (drawn(family=family).builds for family in ("tarn-v8", "calder-roller-v8"))
    preloads = [[v.settings["preload"] for v in of] for of in (first, second)]
    warmths = [[v.points["hot_idle"]["oil_temperature"] for v in of] for of in (first, second)]
    for pair in (preloads, warmths):
        assert abs(np.corrcoef(pair)[0, 1]) < 4 / np.sqrt(COUNT)


def test_a_part_at_several_valves_is_one_batch(drawn):
    made = drawn(slots={"lifter": [{"at": "3 intake", "part": "BW-126"}, {"at": "5", "part": "BW-126"}]})
    for variant in made.builds:
        row = variant.slots["lifter"]
        assert len({id(known) for known in row}) == 2
        assert row[4] == row[8] == row[9] != row[0]


def test_draws_fill_the_stated_range_and_no_more(drawn):
    has = {"feed_hole": {"is": "1.5 mm", "plus_minus": "0.02 mm"}}
    holes = (
        column(drawn(slots={"lifter": {"part": "BW-118", "has": has}}).builds, "lifter", "feed_hole") * 1e3
    )
    assert 1.48 < holes.min() < 1.48 + 0.04 / COUNT
    assert 1.52 > holes.max() > 1.52 - 0.04 / COUNT
    assert holes.mean() == pytest.approx(1.5, abs=1e-3)


def test_a_tolerance_scales_the_same_draws(drawn):
    def holes(size):
        has = {"feed_hole": {"is": "1.5 mm", "plus_minus": size}}
        return column(drawn(slots={"lifter": {"part": "BW-118", "has": has}}).builds, "lifter", "feed_hole")

    assert (holes("0.05 mm") - 1.5e-3) == pytest.approx(5 * (holes("0.01 mm") - 1.5e-3), rel=1e-9)
    assert np.ptp(holes("0 mm")) == 0


def test_choices_and_counts_stay(drawn):
    made = drawn(slots={"lifter": "BW-126"})
    for variant in made.builds:
        assert variant.at("lifter", 0)["metering"] == "disc"
        assert variant.at("block", 0)["main_count"] == made.builds[0].at("block", 0)["main_count"]
        assert variant.points["hot_idle"]["speed"] == made.builds[0].points["hot_idle"]["speed"]


def test_nothing_leaves_what_is_possible(drawn, library):
    has = {"disc_rise": {"is": "0.006 mm", "plus_minus": "0.005 mm"}}
    rises = column(drawn(slots={"lifter": {"part": "BW-118", "has": has}}).builds, "lifter", "disc_rise")
    assert rises.min() == library.vocabulary.kinds["lifter"].attributes["disc_rise"].possible[0]


def test_sizes_that_no_part_has_together_are_not_drawn(drawn, library):
    has = {
        "band_from": {"is": "1.10 in", "plus_minus": "0.10 in"},
        "band_to": {"is": "1.18 in", "plus_minus": "0.10 in"},
    }
    made = drawn(slots={"lifter": {"part": "BW-118", "has": has}})
    lower, upper, hole = (column(made.builds, "lifter", n) for n in ("band_from", "band_to", "feed_hole"))
    assert np.all(lower + hole <= upper * (1 + 1e-9))
    assert np.ptp(upper - lower) > 1e-3
    kinds = library.vocabulary.kinds
    for slot in ("lifter", "block", "camshaft", "pushrod"):
        sizes = {
            n: column(made.builds, slot, n) for n, v in made.builds[0].at(slot, 0).items() if type(v) is float
        }
        assert can_be(kinds[slot], sizes, {}).all()


def test_a_cam_card_of_every_draw_is_a_lobe(drawn, library):
    has = {"intake_low_duration": {"is": "270 deg", "plus_minus": "60 deg"}}
    made = drawn(slots={"camshaft": {"part": "QC-212", "has": has}}, count=256)
    cards = [variant.at("camshaft", 0) for variant in made.builds]
    sizes = {n: np.array([c[n] for c in cards]) for n, v in cards[0].items() if isinstance(v, float)}
    assert can_be(library.vocabulary.kinds["camshaft"], sizes, {}).all()
