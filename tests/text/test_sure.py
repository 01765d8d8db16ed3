"""How sure an answer is, as a person reads it."""

import re

import pytest
from msgspec.structs import replace

from upfeed.answering.check import check
from upfeed.text.say import Speaker
from upfeed.text.sure import how_sure


@pytest.fixture(scope="module")
def told(library, sheet_of):
    def text(build=None, samples=32, system="shop", **more):
        return Speaker(library.vocabulary, system).answer(
            check(sheet_of(build, **more), library, system, samples)
        )

    return text


@pytest.fixture(scope="module")
def answer(library, sheet_of):
    return check(sheet_of(settings={"preload": "0 thou"}), library, "shop", 32)


def section(text):
    return " ".join(text.partition("How sure\n")[2].partition("\n\n")[0].split())


def line(answer, **changes):
    sure = replace(answer.how_sure, **changes)
    return " ".join(" ".join(how_sure(replace(answer, how_sure=sure), lambda _, end: f"{end} Pa")).split())


def test_a_verdict_that_stays(told):
    said = section(told())
    assert said.startswith("The verdict stays in every one of 32 draws of the values' stated spread.")
    assert "At hot idle nine of ten draws give gallery pressure" in said
    assert re.search(r"gallery pressure [\d.]+ to [\d.]+ psi", said)
    assert "times the design's" not in said  # of itself: always the same


def test_a_swap_is_bounded_as_times_the_design(told):
    said = section(told(slots={"lifter": "BW-126"}))
    assert re.search(
        r"the worst valve's oil [\d.]+ to [\d.]+ mL/min \([\d.]+ to [\d.]+ times the design's\)", said
    )
    assert "Measure first" in said
    assert "lifter notch area: 0.042 mm2, measured;" in said
    assert "the design's lifter notch area: 0.042 mm2, measured;" in said


def test_si_units(told):
    assert re.search(r"gallery pressure [\d.]+ to [\d.]+ bar", section(told(system="si")))


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.94, "In 94 of 100 draws"),
        (0.998, "In 99 of 100 draws"),
        (0.001, "In 1 of 100 draws"),
        (0.0, "In 0 of 100"),
    ],
)
def test_all_and_none_are_said_only_where_it_is_so(answer, share, said):
    assert f"{said} " in line(answer, verdict_holds_in=share)


def test_no_section_without_draws(told):
    assert "How sure" not in told(samples=0)
    assert "Holds in" not in told(samples=0, settings={"preload": "0 thou"})


def test_tables_stay_as_they_are_without_bounds(told):
    def tables(text):
        return text[text.index("Pressures and flows") : text.index("Cautions")]

    assert tables(told()) == tables(told(samples=0))


def test_lines_stay_within_the_page(told):
    for build in ({}, {"slots": {"lifter": "BW-126"}}, {"settings": {"preload": "0 thou"}}):
        assert max(map(len, told(build).splitlines())) <= 100
