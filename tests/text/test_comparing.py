"""Two builds side by side as a person reads them."""

import pytest

from upfeed.advising.comparing.compare import compare
from upfeed.text.comparing import Comparer


@pytest.fixture(scope="module")
def said(library, sheet_of):
    def text(first, second, system="shop", samples=0):
        told = compare(sheet_of(first), sheet_of(second), library, system, samples)
        return Comparer(library.vocabulary, system).comparison(told)

    return text


LARGE = {"name": "large notches", "slots": {"lifter": "BW-133"}}


def rows(text, label):
    return [line.split() for line in text.splitlines() if line.strip().startswith(label)]


def test_the_first_sentence_tells_what_the_change_does(said):
    text = " ".join(said({}, LARGE).split())
    assert text.startswith(
        "The verdict goes from Go to Go with care: more oil than designed is new. At hot idle the worst valve gets "
    )
    assert " times the oil in B, and gallery pressure goes from " in text


def test_a_row_holds_both_numbers_and_b_over_a(said):
    (_, _, *numbers) = rows(said({}, LARGE, "si"), "gallery pressure")[0]
    first, second, times = float(numbers[0]), float(numbers[2]), float(numbers[4])
    assert numbers[1::2] == ["bar", "bar"]
    assert times == pytest.approx(second / first, rel=5e-3)


def test_parts_values_and_settings_are_told_in_words(said):
    text = said({}, LARGE | {"settings": {"preload": "40 thou"}})
    assert "    lifter: BW-118 -> BW-133\n      feed hole: 0.052 in -> 0.060 in\n" in text
    assert "    preload: 25 thou -> 40 thou\n" in text
    assert "  new in B\n    caution: more oil than designed\n" in text


def test_nothing_between_a_build_and_itself(said):
    text = said({}, {})
    assert text.startswith(
        "Both say Go. At hot idle the worst valve gets as much oil in B, and gallery pressure stays at\n"
    )
    assert "A and B do not differ in parts or settings." in text
    assert "No findings in either." in text


def test_what_only_one_family_has_is_said_so(said):
    text = said({}, {"family": "dunmere-six"})
    assert "    rocker shaft: DM-50, only in B\n" in text
    assert "listed in --format json" in text
    assert "    preload: 25 thou -> not given\n" in text
    assert "- The builds are of two families:" in text
    assert "hot idle; A: 650 rpm, oil 100 C; B: 600 rpm, oil 100 C" in text


def test_bounds_stand_where_a_measurement_is_missing(said):
    text = said({}, {"slots": {"lifter": {"part": "BW-118", "has": {"notch_area": None}}}})
    assert "lifter notch area: in B\n" in text
    assert "      notch area: 0.042 mm2 -> not known\n" in text
    assert " to " in next(line for line in text.splitlines() if "top end flow" in line)


def test_a_kept_finding_tells_its_places_and_figures(said):
    few = {"slots": {"lifter": [{"at": "all", "part": "BW-118"}, {"at": "3 intake", "part": "BW-121"}]}}
    assert "3 intake -> all; has grown worse" in " ".join(said(few, {"slots": {"lifter": "BW-121"}}).split())


def test_lines_fit_and_end_without_blanks(said):
    for text in (said({}, LARGE, samples=16), said({}, {"family": "dunmere-six"}, "si")):
        assert all(len(line) <= 96 and line == line.rstrip() for line in text.splitlines())
        assert text.endswith("\n")
        assert "NaN" not in text
        assert "None" not in text


def test_bounds_of_ratios_stand_in_brackets_and_are_explained(said):
    text = said({}, LARGE, samples=16)
    *_, times, low, to, high = rows(text, "worst valve flow")[0]
    assert to == "to"
    assert float(low.strip("(")) < float(times) < float(high.strip(")"))
    assert f"the worst valve gets {times} {low} to {high} times the oil in B" in " ".join(text.split())
    assert rows(text, "drain capacity")[0][-1] == "1"
    assert "In brackets behind B/A: nine of ten draws lie within" in text


def test_without_draws_nothing_stands_in_brackets(said):
    text = said({}, LARGE)
    assert "In brackets" not in text
    assert float(rows(text, "worst valve flow")[0][-1]) > 1
