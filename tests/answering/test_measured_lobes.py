"""Camshafts whose lobes were read off angle by angle, from the build to the answer."""

import pytest

from upfeed.answering.answer import UnknownPoint
from upfeed.answering.digests import of_sheet
from upfeed.judging.lexicon import lexicon
from upfeed.knowledge.build import resolve
from upfeed.web.parts import part

TABLE = [
    ["-75 deg", "0 mm"],
    ["-40 deg", "3.1 mm"],
    ["0 deg", "7 mm"],
    ["45 deg", "2.5 mm"],
    ["80 deg", "0 mm"],
]


def camshaft(**has):
    return {"slots": {"camshaft": {"part": "QC-212", "has": {"lobes_from": "table", **has}}}}


BOTH = {"intake_table": TABLE, "exhaust_table": TABLE}


def of(answer, fact):
    (found,) = [c for c in answer.points[0].computed if c.name == f"{fact}.hot_idle"]
    return found


def test_a_build_may_bring_its_own_table(ask):
    answer = ask(camshaft(**BOTH))
    assert answer.verdict == "go"
    assert of(answer, "top_end_flow").ratio == pytest.approx(1.0, abs=0.05)
    assert of(answer, "top_end_flow").ratio != 1.0


def test_lift_and_durations_beside_a_table_do_not_count(ask, library, sheet_of):
    # No lobe has these durations; the card they come from is not what the lobes are known by.
    odd = camshaft(**BOTH, intake_low_duration="200 deg", intake_high_duration="199 deg", intake_lift="12 mm")
    flows = [of(ask(build), "top_end_flow").build for build in (odd, camshaft(**BOTH))]
    assert flows[0] == flows[1]
    built = resolve(sheet_of(odd), library.knowledge, library.vocabulary)
    assert built.at("camshaft", 0).has["intake_lift"].magnitude == pytest.approx(7e-3)


def test_a_missing_table_leaves_all_that_hangs_on_it_unknown(ask):
    answer = ask(camshaft(intake_table=TABLE))
    assert answer.verdict == "cannot_tell_yet"
    assert set(answer.points) == {
        UnknownPoint(point.point, "not read off: camshaft.exhaust_table") for point in answer.points
    }
    assert (answer.path, answer.timing) == ([], [])
    (missing,) = answer.unknown
    assert (missing.name, missing.slot, missing.at) == ("camshaft.exhaust_table", "camshaft", "all")
    assert {"less-oil-than-designed", "hardly-any-oil-left", "band-cut-off-early"} <= set(missing.blocks)
    assert "degree wheel" in missing.measure
    assert not any(finding.weighs == "stop" for finding in answer.findings)


def test_what_does_not_hang_on_the_lobe_is_still_told(ask):
    """A flat lifter on lobes ground for a wheel is a stop whatever their lift."""
    answer = ask(camshaft(ground_for="roller"))
    assert answer.verdict == "stop"
    assert {finding.rule for finding in answer.findings} == {"foot-and-lobe-do-not-suit"}


def test_both_ways_unknown_asks_for_either(ask):
    answer = ask(slots={"camshaft": {"part": "QC-212", "has": {"lobes_from": None}}})
    assert answer.verdict == "cannot_tell_yet"
    named = [missing.name for missing in answer.unknown]
    assert named == ["camshaft.lobes_from", "camshaft.intake_table", "camshaft.exhaust_table"]


def test_the_way_lobes_are_given_follows_where_only_one_is(ask):
    inline = {"ground_for": "flat", "base_circle_radius": "0.55 in", **BOTH}
    said, left_out = (
        ask(slots={"camshaft": {"has": has}}) for has in (inline | {"lobes_from": "table"}, inline)
    )
    assert of(left_out, "top_end_flow") == of(said, "top_end_flow")
    assert left_out.unknown == []
    half = inline | {"intake_lift": "7 mm", "exhaust_lift": "7 mm"}
    named = [missing.name for missing in ask(slots={"camshaft": {"has": half}}).unknown]
    assert named[0] == "camshaft.lobes_from"


def test_a_table_missing_beside_a_size_still_names_both(ask):
    slots = camshaft(intake_table=TABLE)["slots"] | {"lifter": {"part": "BW-118", "has": {"feed_hole": None}}}
    answer = ask(slots=slots)
    assert {missing.name for missing in answer.unknown} == {"camshaft.exhaust_table", "lifter.feed_hole"}
    assert answer.verdict == "cannot_tell_yet"


def test_a_build_over_a_tabled_part_may_go_by_a_card(ask):
    card = {
        f"{role}_{name}": value
        for role in ("intake", "exhaust")
        for name, value in {
            "lift": "0.275 in",
            "low_lift": "0.006 in",
            "low_duration": "270 deg",
            "high_lift": "0.050 in",
            "high_duration": "212 deg",
        }.items()
    }
    here, there = (
        ask(
            slots={
                "camshaft": {
                    "part": part,
                    "has": {"lobes_from": "card", "base_circle_radius": "0.55 in", **card},
                }
            }
        )
        for part in ("PD-214", "QC-212")
    )
    assert of(here, "top_end_flow").build == of(there, "top_end_flow").build
    # The lift that followed from the table went with it.
    without = {name: value for name, value in card.items() if name != "intake_lift"} | {"lobes_from": "card"}
    answer = ask(slots={"camshaft": {"part": "PD-214", "has": without}})
    assert [missing.name for missing in answer.unknown] == ["camshaft.intake_lift"]


def test_every_reading_counts_in_the_builds_digest(sheet_of):
    other = [*TABLE[:1], ["-40 deg", "3.2 mm"], *TABLE[2:]]
    sheets = [sheet_of(camshaft(intake_table=table, exhaust_table=TABLE)) for table in (TABLE, other)]
    one, two = map(of_sheet, sheets)
    assert one != two
    assert one == of_sheet(sheet_of(camshaft(**BOTH)))


def test_show_tells_readings_in_few_words(upfeed):
    lines = upfeed("show", "PD-214").text.splitlines()
    (shown,) = [line for line in lines if line.strip().startswith("intake table")]
    assert "32 readings, 0 mm to 7.06 mm" in shown


def test_the_catalogue_shows_readings_without_a_value(library):
    has = {known.name: known for known in part(library.knowledge.parts["PD-214"], library.vocabulary).has}
    table = has["intake_table"]
    assert (table.value, table.unit, table.shown) == (None, None, "32 readings, 0 mm to 7.06 mm")
    assert has["intake_lift"].note == "the highest reading of the intake table"


def test_a_rule_cannot_name_a_table(library):
    names = lexicon(library.vocabulary)
    assert "camshaft.intake_lift" in names
    assert not {"camshaft.intake_table", "reference.camshaft.intake_table"} & set(names)
