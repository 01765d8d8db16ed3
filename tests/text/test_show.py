"""Parts, families and rules as text."""

import pytest

from upfeed.reading.faults import DataFaults
from upfeed.text.show import list_parts, show_id


def test_every_part_has_a_line(library):
    lines = list_parts(library, None, None).splitlines()
    assert len(lines) == len(library.knowledge.parts)
    assert lines == sorted(lines)


def test_parts_are_chosen_by_kind_and_family(library):
    lifters = list_parts(library, "lifter", "tarn-v8").splitlines()
    assert [line.split()[0] for line in lifters] == sorted(
        part.id
        for part in library.knowledge.parts.values()
        if part.kind == "lifter" and "tarn-v8" in part.relations.get("designed_for", ())
    )
    assert lifters


@pytest.mark.parametrize(
    ("kind", "family", "told"),
    [
        ("liftr", None, "Did you mean lifter?"),
        (None, "tarn-v9", "Did you mean tarn-v8"),
        ("settings", None, "kind"),
    ],
)
def test_an_unknown_kind_or_family_is_a_fault(library, kind, family, told):
    with pytest.raises(DataFaults, match=told):
        list_parts(library, kind, family)


def test_a_part_is_shown_with_its_values_their_places_and_its_relations(library):
    text = show_id(library, "BW-118")
    for told in (
        "BW-118: Brackwater 118 disc lifter (lifter, Brackwater)",
        "sold as BW-118, 4118",
        "0.052 in     measured, pellow-bench-book, pin gauges, set of sixteen",
        "kb/demo/lifters.yaml",
        "grey iron",
        "supplied in place of: BW-110",
        "now also supplied as: BW-126",
        "unlike BW-110 in: feed hole 0.052 in, was 0.050 in; notch area 0.042 mm2, was 0.031 mm2",
        "takes up the same room as: BW-110, BW-121",
        "made so (lifter.notch_area, lifter.disc_rise): Sixteen notches",
    ):
        assert told in text


def test_a_part_is_found_by_a_number_it_is_sold_under(library):
    assert show_id(library, "4118") == show_id(library, "BW-118")


def test_a_family_is_shown_with_its_reference_and_points(library):
    text = show_id(library, "tarn-v8")
    for told in (
        "8 cylinders, valves each: intake, exhaust",
        "BW-118",
        "25 thou",
        "at hot idle: speed 650 rpm",
    ):
        assert told in text
    assert "parts designed for it: BW-110, BW-118" in text


def test_a_rule_is_shown_with_why_and_its_limits(library):
    text = show_id(library, "more-oil-than-designed")
    walks = "gallery > lifter > pushrod > rocker or gallery > rocker"
    assert f"caution, asked along {walks}" in " ".join(text.split())
    assert "limits.too_much" in text
    assert "rules/path/limits.yaml" in text
    assert "explains: hot-idle-pressure-lost" in text


def test_the_nearest_are_named_for_what_is_unknown(library):
    with pytest.raises(DataFaults, match="Did you mean BW-118"):
        show_id(library, "BW-188")
    with pytest.raises(DataFaults, match="Did you mean no-way-up"):
        show_id(library, "no-ways-up")


def test_no_line_is_wider_than_a_terminal(library):
    for id_ in (*library.knowledge.parts, *library.knowledge.families, *library.rulebook.rules):
        assert all(len(line) <= 120 for line in show_id(library, id_).splitlines())
