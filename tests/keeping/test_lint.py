"""What is worth a second look: told once, at its line, and not about what is plainly meant."""

import pytest
from msgspec.structs import replace

from upfeed.answering.library import layers_over, open_library
from upfeed.keeping.lint import lint
from upfeed.reading.folders import data_folder

HEAD = "format: 1\nstanding: measured\nsource: pellow-bench-book\nparts:\n"


def part(id_, has, relations="designed_for: [tarn-v8]", kind="gasket", numbers=""):
    return (
        f"  - part: {id_}\n    kind: {kind}\n    name: {id_} of a shop\n    maker: Pellow and Daughter\n"
        f"    numbers: [{numbers}]\n    relations: {{{relations}}}\n    has: {{{has}}}\n"
    )


GASKET = "thickness: 51 thou, oil_hole: punched, oil_hole_diameter: 0.31 in, drains_masked: 1"


@pytest.fixture
def told(tmp_path):
    """What is told about a shop's file, laid over the base."""

    def lay(*parts, head=HEAD):
        (tmp_path / "shop.yaml").write_text(head + "".join(parts))
        name = layers_over(data_folder("kb"), [tmp_path])[-1].name
        return [str(fault) for fault in lint(open_library([tmp_path]), [name])]

    return lay


def test_a_part_in_order_raises_nothing(told):
    assert told(part("PD-900", GASKET)) == []


def test_a_value_without_a_source_is_told_at_its_line(told):
    (warning,) = told(part("PD-900", "thickness: 51 thou"), head="format: 1\nstanding: measured\nparts:\n")
    assert "shop.yaml, line 10, gasket PD-900, thickness" in warning
    assert "source" in warning


def test_a_part_that_leads_to_no_family_is_told_and_one_that_does_by_another_is_not(told):
    alone = part("PD-901", "thickness: 70 thou", "")
    beside = part("PD-902", "thickness: 65 thou", "supplied_in_place_of: [TN-31]")
    (warning,) = told(alone, beside)
    assert "PD-901" in warning
    assert "no family" in warning


def test_a_value_that_the_parts_own_choices_leave_without_a_use_is_told(told):
    (warning,) = told(part("PD-903", "thickness: 51 thou, oil_hole: closed, oil_hole_diameter: 0.31 in"))
    assert 'oil_hole_diameter: found "0.31 in" beside oil_hole: closed' in warning


def test_two_parts_alike_within_what_is_known_are_told_unless_a_relation_sets_them_apart(told):
    first = part("PD-904", GASKET)
    again = part("PD-905", GASKET.replace("51 thou", "51.1 thou"))
    (warning,) = told(first, again)
    assert "PD-905" in warning
    assert "same values as PD-904" in warning
    apart = part("PD-905", GASKET, "designed_for: [tarn-v8], supplied_in_place_of: [PD-904]")
    assert told(first, apart) == []
    thicker = part("PD-905", GASKET.replace("51 thou", "65 thou"))
    assert told(first, thicker) == []


def test_a_part_of_another_family_may_have_the_same_sizes(told):
    other = part("PD-907", GASKET, "designed_for: [dunmere-six]")
    assert told(part("PD-906", GASKET), other) == []


def test_numbers_that_are_one_but_for_spelling_are_told(told):
    first = part("PD-908", GASKET, numbers='"7 70-1A"')
    other = part("PD-909", GASKET.replace("51 thou", "65 thou"), numbers='"7701a"')
    (warning,) = told(first, other)
    assert 'number "7701a", which is "7 70-1A" of PD-908' in warning


def test_unusual_values_are_told_and_those_of_other_layers_are_not(told):
    (warning,) = told(part("PD-910", GASKET.replace("51 thou", "250 thou")))
    assert "usually" in warning


def test_the_base_is_looked_over_where_no_layer_is_named(library):
    assert {fault.origin.layer for fault in lint(library)} == {"base"}


def test_attributes_that_no_part_has_are_told(library):
    fewer = {id_: p for id_, p in library.knowledge.parts.items() if "notch_area" not in p.has}
    assert not any("notch_area" in fault.path for fault in lint(library))
    lighter = replace(library, knowledge=replace(library.knowledge, parts=fewer))
    assert any("notch_area" in fault.path for fault in lint(lighter))


def test_the_command_tells_warnings_by_line_and_errors_by_exit_code(upfeed, tmp_path):
    (tmp_path / "shop.yaml").write_text(HEAD + part("PD-900", GASKET))
    assert (upfeed("kb", "lint", tmp_path).code, upfeed("kb", "lint", tmp_path).out) == (0, b"")
    (tmp_path / "shop.yaml").write_text(HEAD + part("PD-901", "thickness: 70 thou", ""))
    warned = upfeed("kb", "lint", tmp_path)
    assert warned.code == 1
    assert b"no family" in warned.out
    (tmp_path / "shop.yaml").write_text(HEAD + part("PD-901", "thickness: 77 mph, oil_hole: square"))
    wrong = upfeed("kb", "lint", tmp_path)
    assert wrong.code == 2
    assert len(wrong.err.splitlines()) == 2
