"""Values as people write them. An inch is 25.4 mm exactly (international yard and pound, 1959)."""

import pytest

from upfeed.knowledge.values import Defaults, Notes, read_values, said_unknown
from upfeed.reading.reader import Reader
from upfeed.reading.yamltree import read_yaml

DEFAULTS = Defaults("published", "maker-sheet", ("maker-sheet", "bench-book"))


@pytest.fixture
def read(library):
    """Reads values of a kind: what is found, the faults and the warnings as text."""

    def values(text, kind="lifter"):
        faults, warnings = [], []
        node = read_yaml(text, "kb/x.yaml", "shop", faults)
        has = Reader(node, "lifter X-1", faults)
        found = read_values(has, library.vocabulary.kinds[kind], DEFAULTS, Notes(faults, warnings))
        return found, [str(fault) for fault in faults], [str(warning) for warning in warnings]

    return values


def test_a_bare_value_takes_the_files_standing_and_source_and_keeps_its_place(read):
    found, faults, _ = read("metering: disc\nfeed_hole: 0.052 in\n")
    value = found["feed_hole"]
    assert not faults
    assert value.magnitude == pytest.approx(1.3208e-3, rel=1e-12)  # 0.052 times 25.4 mm
    assert (value.written, value.standing, value.source) == ("0.052 in", "published", "maker-sheet")
    assert (value.origin.layer, value.origin.file, value.origin.line) == ("shop", "kb/x.yaml", 2)
    assert found["metering"].magnitude == "disc"


def test_a_full_value_says_all_of_it(read):
    found, faults, _ = read(
        "feed_hole:\n  is: 0.052 in\n  plus_minus: 1 thou\n  standing: measured\n  source: bench-book\n"
        "  note: pin gauges\n"
    )
    value = found["feed_hole"]
    assert not faults
    assert value.plus_minus == pytest.approx(25.4e-6)  # one thousandth of an inch
    assert (value.standing, value.source, value.note) == ("measured", "bench-book", "pin gauges")
    assert value.origin.line == 2


def test_a_tolerance_of_a_temperature_is_a_difference(read):
    found, faults, _ = read("oil_temperature: {is: 100 C, plus_minus: 5 C}", "points")
    assert not faults
    assert found["oil_temperature"].plus_minus == pytest.approx(5.0)  # 5 K, not 278.15


def test_a_bare_ratio_takes_a_bare_tolerance(read):
    found, faults, _ = read("ratio: {is: 1.5, plus_minus: 0.02}", "rocker")
    assert not faults
    assert found["ratio"].plus_minus == pytest.approx(0.02)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("fed_hole: 0.052 in", ["line 1", "lifter X-1, fed_hole", '"fed_hole"', "Did you mean feed_hole, "]),
        ("feed_hole: 0.052", ["without a unit", "a length in in, thou, mm"]),
        ("feed_hole: 0.052 psi", ["a pressure", "a length in"]),
        ("feed_hole: 0.052 inn", ["unknown unit", "in"]),
        ("feed_hole: 1.3 in", ["0.0118 in to 0.157 in"]),
        ("feed_hole: -1 mm", ["beyond which nothing is possible"]),
        ("feed_hole: 1e400 mm", ["beyond any size"]),
        ("feed_hole: .nan mm", ["a length in"]),
        ("feed_hole: [0.052 in]", ["a list", "a value"]),
        ("feed_hole: true", ["the boolean true", "a length"]),
        ("feed_hole: {standing: measured}", ["nothing", "the value under `is`"]),
        ("feed_hole: {is: 0.052 in, plusminus: 1 thou}", ["plusminus", "Did you mean plus_minus?"]),
        ("feed_hole: {is: 0.052 in, plus_minus: 1 psi}", ["feed_hole, plus_minus", "a pressure"]),
        ("feed_hole: {is: 0.052 in, plus_minus: -1 thou}", ["plus_minus", "without a sign"]),
        ("feed_hole: {is: 0.052 in, plus_minus: [1 thou]}", ["plus_minus", "a list"]),
        ("metering: {is: disc, plus_minus: 1 thou}", ["metering, plus_minus", "a choice"]),
        ("feed_hole: {is: 0.052 in, source: benchbook}", ["a known source", "Did you mean bench-book?"]),
        ("feed_hole: {is: 0.052 in, standing: mesured}", ["Did you mean measured?"]),
        ("metering: disk", ["disc, clearance, orifice, blind or from_above", "Did you mean disc?"]),
        ("metering: 5", ["the number 5"]),
    ],
)
def test_what_is_wrong_is_told_with_place_and_what_was_expected(read, text, told):
    _, faults, _ = read(text)
    assert len(faults) == 1
    for part in ["kb/x.yaml, line 1, lifter X-1, ", "; expected ", *told]:
        assert part in faults[0]


def test_the_unit_that_may_have_been_meant_is_asked_for(read):
    _, faults, _ = read("feed_hole: 1.3 in")  # a lifter's feed hole is about 1.3 mm; from memory
    assert "Was 1.3 mm meant?" in faults[0]


def test_no_other_unit_is_asked_for_where_it_would_be_impossible_too(read):
    _, faults, _ = read("feed_hole: 900 in")
    assert "meant" not in faults[0]


def test_an_unusual_value_is_a_warning_not_a_fault(read):
    found, faults, warnings = read("feed_hole: 0.100 in")
    assert not faults
    assert found["feed_hole"].magnitude == pytest.approx(2.54e-3)
    assert len(warnings) == 1
    assert "usually 0.04 in to 0.07 in" in warnings[0]


def test_a_value_on_the_end_of_what_is_possible_is_possible(read):
    found, faults, _ = read("feed_hole: 4 mm\nband_from: 5 mm\n")
    assert not faults
    assert set(found) == {"feed_hole", "band_from"}


def test_all_faults_of_a_part_are_told_and_the_sound_values_read(read):
    found, faults, _ = read("feed_hole: 1.3 in\nmetering: disk\nwall: 2.0 mm\nbandfrom: 1 in\n")
    assert len(faults) == 3
    assert list(found) == ["wall"]


def test_what_is_left_out_or_null_is_not_there(read):
    found, faults, _ = read("feed_hole:\nwall: ~\nmetering: null\n")
    assert not faults
    assert not found


def test_null_says_that_a_value_is_not_known(library):
    node = read_yaml("feed_hole:\nwall: 2 mm\nfeed: null\n", "b.yaml", "", [])
    assert said_unknown(node, library.vocabulary.kinds["lifter"]) == ("feed_hole",)
    assert said_unknown(None, library.vocabulary.kinds["lifter"]) == ()


def test_a_value_of_a_build_is_traced_by_a_pointer(library):
    faults = []
    node = read_yaml("feed_hole: {is: 0.052 in}", "b.yaml", "", faults)
    kind = library.vocabulary.kinds["lifter"]
    found = read_values(Reader(node, "", faults), kind, DEFAULTS, Notes(faults, []), "/slots/lifter/has")
    assert found["feed_hole"].origin.pointer == "/slots/lifter/has/feed_hole"


def test_a_value_beyond_what_is_possible_does_not_hide_what_else_is_wrong_with_it(read):
    _, faults, _ = read("feed_hole: {is: 1.3 in, plus_minus: 1 psi, standing: guessed, source: hearsay}")
    told = [fault.partition(": found")[0].rsplit(", ", 1)[1] for fault in faults]
    assert sorted(told) == ["is", "plus_minus", "source", "standing"]
