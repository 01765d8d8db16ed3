"""What is known of a build's parts alone: how well, in whose place, for which gallery."""

import pytest

from upfeed.knowledge.build import resolve
from upfeed.knowledge.partfacts import PartFacts

ASSUMED = {"is": "0.035 mm", "standing": "assumed", "source": "estimate"}


@pytest.fixture(scope="module")
def facts(library, sheet_of):
    def of(build=None, **more):
        built = resolve(sheet_of(build, **more), library.knowledge, library.vocabulary)
        return PartFacts(built, library.knowledge, library.vocabulary)

    return of


def test_nothing_is_said_of_the_design(facts):
    told = facts()
    assert told.value("usual_values", 0) == 0
    assert told.value("supplied_otherwise", 0) == 0
    assert told.value("same_envelope.lifter", 3) == "told"


def test_values_that_are_only_assumed_are_counted_where_the_oil_feels_them(facts):
    """The rise of the disc meters; what a rocker is made of takes no part in anything that is worked out."""
    felt = facts(slots={"lifter": {"part": "BW-118", "has": {"disc_rise": ASSUMED}}})
    assert felt.value("usual_values", 0) == 1
    assert felt.value("usual_values_of", 0) == "Brackwater 118 disc lifter (disc rise)"
    material = {"is": "steel", "standing": "assumed", "source": "estimate"}
    unfelt = facts(slots={"rocker": {"part": "HM-40", "has": {"material": material}}})
    assert unfelt.value("usual_values", 0) == 0


def test_sizes_that_the_parts_choices_leave_unused_are_not_counted(facts, given):
    block = {**given("TN-1"), "bleed": "closed"}
    assumed = {"is": "0.9 mm", "standing": "assumed", "source": "estimate"}
    told = facts(slots={"block": {"part": "TN-1", "has": {**block, "bleed_diameter": assumed}}})
    assert "bleed diameter" not in told.value("usual_values_of", 0)


def test_a_size_given_without_a_word_on_how_it_is_known_is_the_builds_own(facts):
    told = facts(slots={"lifter": {"part": "BW-118", "has": {"disc_rise": "0.03 mm"}}})
    assert told.value("usual_values", 0) == 0


def test_values_measured_here_are_not_called_usual(facts):
    measured = {"is": "0.035 mm", "standing": "measured", "source": "pellow-bench-book"}
    told = facts(slots={"lifter": {"part": "BW-118", "has": {"disc_rise": measured}}})
    assert told.value("usual_values", 0) == 0


def test_one_part_of_usual_sizes_is_named_once_with_how_many_more(facts):
    told = facts(slots={"block": "generic-flat-v8-block"})
    count, said = told.value("usual_values", 0), told.value("usual_values_of", 0)
    assert count > 20
    assert said.count("(") == 1
    assert f"and {count - 3:.0f} more" in said


def test_none_is_usual_only_where_nothing_that_the_oil_feels_is_missing(facts):
    def told(**has):
        return facts(slots={"lifter": {"part": "BW-118", "has": has}}).value

    for missing in ("feed_hole", "disc_rise", "metering"):
        assert told(**{missing: None})("usual_values", 0) is None
        assert told(**{missing: None})("usual_values_of", 0) is None
    assert told(body_length=None)("usual_values", 0) == 0
    assert told(disc_rise=ASSUMED, feed_hole=None)("usual_values", 0) == 1


def test_a_value_that_counts_by_a_choice_nobody_has_made_is_neither_usual_nor_not(facts):
    """Where preload comes from the heights, the drop of the rocker's cup is needed."""
    rocker = {
        "part": "HM-60",
        "has": {"cup_drop": {"is": "0.2 in", "standing": "assumed", "source": "estimate"}},
    }

    def count(preload_from):
        made = {
            "family": "dunmere-six",
            "slots": {"rocker": rocker},
            "settings": {"preload_from": preload_from},
        }
        return facts(made).value("usual_values", 0)

    assert [count(way) for way in ("heights", "set", None)] == [1, 0, None]


def test_a_setting_that_nobody_gave_leaves_the_designs_parts_as_well_known_as_they_are(facts):
    assert facts(settings={"preload": None}).value("usual_values", 0) == 0


def test_a_number_handed_over_for_the_designs_is_told_with_what_differs(facts):
    told = facts(slots={"lifter": "BW-126"})
    assert told.value("supplied_otherwise", 0) == 1
    said = told.value("supplied_otherwise_as", 0)
    assert said.endswith("for BW-118 (feed hole)")


def test_a_number_that_came_first_is_not_handed_over_for_a_later_one(facts):
    assert facts(slots={"lifter": "BW-110"}).value("supplied_otherwise", 0) == 0


def test_a_number_found_to_be_the_same_is_no_difference(facts):
    """Whoever measured the new number's hole and found the old one's has nothing to be told."""
    told = facts(slots={"lifter": {"part": "BW-126", "has": {"feed_hole": "0.052 in"}}})
    assert told.value("supplied_otherwise", 0) == 0


def test_one_odd_number_among_sixteen_is_found(facts):
    told = facts(slots={"lifter": [{"part": "BW-126", "at": "3 intake"}]})
    assert told.value("supplied_otherwise", 0) == 1


def test_the_makers_word_on_the_room_holds_for_the_part_as_catalogued(facts):
    assert facts(slots={"lifter": "BW-140"}).value("same_envelope.lifter", 0) == "told"
    assert facts(slots={"lifter": "OS-26"}).value("same_envelope.lifter", 0) == "untold"
    shortened = {"part": "BW-140", "has": {"cup_height": "1.700 in"}}
    assert facts(slots={"lifter": shortened}).value("same_envelope.lifter", 0) == "untold"


def test_an_open_slot_leaves_unknown_what_it_would_tell(facts):
    told = facts(open=["lifter"])
    for name in ("usual_values", "usual_values_of", "supplied_otherwise", "same_envelope.lifter"):
        assert told.value(name, 0) is None
    assert told.value("laid_out_gallery_height", 0) is None
    assert told.value("same_envelope.rocker", 0) == "told"


def test_a_slot_that_the_family_has_not_is_unknown(facts):
    assert facts().value("same_envelope.rocker_shaft", 0) is None


EIGHTH = 0.125 * 0.0254
"""An eighth of an inch, by which the raised gallery lies higher (stated with the part)."""


def test_a_lifter_is_laid_out_for_the_gallery_of_the_block_that_shares_it(facts):
    plain, raised = facts().value("laid_out_gallery_height", 0), facts(slots={"lifter": "BW-204"})
    assert raised.value("laid_out_gallery_height", 0) == pytest.approx(plain + EIGHTH, abs=1e-9)


def test_a_height_goes_on_to_whatever_shares_it(facts):
    """The clearance lifter shares the plain one's height, and that one the block's."""
    alike = facts(slots={"lifter": "BW-140"}).value("laid_out_gallery_height", 0)
    assert alike == facts().value("laid_out_gallery_height", 0)


def test_of_several_families_that_a_lifter_is_for_the_nearest_gallery_counts(facts):
    """1.79 in of the twin and 2.05 in of the Calder, in either of them its own."""
    for family, height in (("ashquill-twin", 1.79), ("calder-roller-v8", 2.05)):
        told = facts(family=family, slots={"lifter": "OS-51"})
        assert told.value("laid_out_gallery_height", 0) == pytest.approx(height * 0.0254, abs=1e-9)


def test_bands_ground_anew_are_no_longer_the_numbers(facts):
    reground = {"part": "BW-118", "has": {"band_to": "1.25 in"}}
    assert facts(slots={"lifter": reground}).value("laid_out_gallery_height", 0) is None


def test_a_lifter_without_a_number_was_laid_out_for_nobody_knows_what(facts, given):
    unnamed = {"name": "a lifter from a box", "has": given("BW-118")}
    assert facts(slots={"lifter": unnamed}).value("laid_out_gallery_height", 0) is None
