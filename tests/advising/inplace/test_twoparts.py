"""Two parts side by side: what differs, which of it the oil feels, and what either does, all by the same check."""

import pytest

from upfeed.advising.inplace.standins import stand_ins
from upfeed.advising.inplace.twoparts import two_parts
from upfeed.answering.buildfile import read_build
from upfeed.answering.check import check
from upfeed.knowledge.uses import uses
from upfeed.reading.faults import DataFaults


def test_a_larger_feed_hole_is_felt_as_the_feed_holes_passage_and_changes_nothing(library):
    told = two_parts(library, "BW-118", "BW-126", "tarn-v8")
    (difference,) = told.differences
    assert (difference.attribute, difference.first, difference.second) == (
        "feed_hole",
        "0.052 in",
        "0.066 in",
    )
    assert difference.used_for == ("lifter.feed_hole",)
    assert "feed-hole-enlarged-without-effect" in difference.rules
    (family,) = told.families
    assert family.times == pytest.approx(1.0, abs=0.005)
    assert (family.first.verdict, family.second.verdict) == ("go", "go")


def test_what_either_does_is_what_a_check_of_the_single_change_says(library, tmp_path):
    (family,) = two_parts(library, "BW-118", "BW-133", "tarn-v8").families
    path = tmp_path / "build.yaml"
    path.write_text("format: 1\nfamily: tarn-v8\nslots: {lifter: BW-133}\n")
    answer = check(read_build(str(path), library), library)
    assert family.second.verdict == answer.verdict
    assert family.second.rules == tuple(dict.fromkeys(finding.rule for finding in answer.findings))
    idle = {c.name: c for c in answer.points[0].computed}
    assert family.second.worst_valve == idle["worst_valve_flow.hot_idle"].ratio
    assert family.second.pressure == idle["gallery_pressure.hot_idle"].build
    assert family.times == pytest.approx(family.second.worst_valve / family.first.worst_valve)


def test_the_chain_leads_from_the_older_part_to_the_newer_whichever_is_named_first(library):
    forth, back = (
        two_parts(library, "BW-110", "BW-126", "tarn-v8"),
        two_parts(library, "BW-126", "BW-110", "tarn-v8"),
    )
    assert forth.chain == back.chain == ("BW-110", "BW-118", "BW-126")
    assert (forth.backwards, back.backwards) == (False, True)


def test_without_a_family_all_that_either_was_designed_for_are_told(library):
    told = two_parts(library, "OS-51", "OS-52")
    assert [family.family for family in told.families] == ["ashquill-twin", "calder-roller-v8"]


def test_a_blind_lifter_sends_no_oil_and_nothing_is_divided_by_it(library):
    (family,) = two_parts(library, "BW-121", "BW-118", "tarn-v8").families
    assert family.first.worst_valve == 0.0
    assert family.times is None


def test_a_part_that_two_names_stand_for_differs_in_nothing(library):
    told = two_parts(library, "BW-118", "BW-118", "tarn-v8")
    assert told.differences == ()
    assert told.families[0].times == 1.0


@pytest.mark.parametrize(
    ("names", "told"),
    [
        (("BW-118", "QC-212"), "found a camshaft; expected a lifter"),
        (("BW-119", "BW-118"), "Did you mean BW-11"),
        (("BW-118", "BW-126", "tarn-v9"), "Did you mean tarn-v8"),
    ],
)
def test_names_that_do_not_go_together_are_told(library, names, told):
    with pytest.raises(DataFaults, match=told):
        two_parts(library, *names)


def test_what_is_supplied_in_a_parts_place_stands_before_what_only_fits(library):
    told = stand_ins(library, "BW-110", "tarn-v8")
    chained = [bool(other.chain) for other in told]
    assert chained == sorted(chained, reverse=True)
    assert [other.part for other in told if other.chain] == ["BW-118", "BW-126"]
    assert {"BW-121", "BW-133"} <= {other.part for other in told}
    assert all(effect.first.part == "BW-110" for other in told for effect in other.effects)


def test_every_attribute_that_a_law_takes_is_told_with_its_passage(library):
    used = uses(library.vocabulary)
    for kind in library.vocabulary.kinds.values():
        for passage in kind.passages.values():
            for binding in passage.laws.values():
                terms = (
                    t for t in binding.takes.values() if isinstance(t, str) and not t.startswith("turn.")
                )
                for term in terms:
                    name = term if "." in term else f"{kind.name}.{term}"
                    owner, _, attribute = name.partition(".")
                    for meant in library.vocabulary.kinds[owner].stands_for(attribute):
                        assert f"{kind.name}.{passage.name}" in used[f"{owner}.{meant}"]
            for by in passage.by:
                name = by if "." in by else f"{kind.name}.{by}"
                assert f"{kind.name}.{passage.name}" in used[name]


def test_what_a_name_stands_for_is_used_by_what_takes_the_name(library):
    used = uses(library.vocabulary)
    for name in ("gallery_height", "bush_hole_height", "lifter_bores"):
        assert "lifter.window" in used[f"block.{name}"]


def test_the_commands_say_it_in_words(upfeed):
    said = upfeed("differ", "BW-118", "BW-133", "--family", "tarn-v8").out.decode()
    assert "The oil feels\n  feed hole: 0.052 in against 0.060 in (lifter feed hole)\n" in said
    assert "In tarn-v8\n  BW-118: go; 1 times the design's oil" in said
    said = upfeed("instead", "BW-110", "--family", "tarn-v8", "--units", "si").out.decode()
    assert "(supplied in its place, BW-110 -> BW-118)" in said
    assert " bar at hot idle" in said
    assert "nothing is known to go in place of MO-020" in upfeed("instead", "MO-020").out.decode()
    assert upfeed("differ", "BW-118", "QC-212").code == 2


def test_whether_both_are_laid_out_for_one_gallery_height_is_told(library):
    assert two_parts(library, "BW-118", "BW-126", "tarn-v8").one_gallery_height is True
    assert two_parts(library, "BW-118", "BW-204", "tarn-v8").one_gallery_height is False
    assert two_parts(library, "HM-40", "HM-42", "tarn-v8").one_gallery_height is None


def test_what_goes_in_its_place_is_told_with_the_gallery_it_was_laid_out_for(library):
    told = {other.part: other.one_gallery_height for other in stand_ins(library, "BW-118", "tarn-v8")}
    assert told["BW-133"] is True
    assert told["BW-204"] is False
