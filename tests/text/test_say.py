"""What a person reads: the sentence that decides, findings under their root, tables."""

import re
from functools import cache

import pytest

from shipped import BUILDS, sheet_of, shipped_library
from upfeed.advising.choosing.mends import check_with_mends
from upfeed.answering.check import answer_to
from upfeed.flow.survey import survey
from upfeed.text.say import Speaker
from upfeed.text.tables import Tables

every_build = pytest.mark.no_cover  # whole checks of many builds
PRELOAD = {"settings": {"preload": "-10 thou"}}


@pytest.fixture(scope="module")
def text(ask, library):
    def said(build=None, system="shop", **more):
        return Speaker(library.vocabulary, system).answer(ask(build, system=system, **more))

    return said


@cache
def every_text():
    """Every shipped build in both systems of units."""
    library = shipped_library()
    texts = {}
    for build in BUILDS:
        surveyed = survey(sheet_of(build), library.knowledge, library.vocabulary, library.topologies)
        for system in ("shop", "si"):
            answer = answer_to(surveyed, None, library, system)
            texts[build, system] = Speaker(library.vocabulary, system).answer(answer)
    return texts


def flowed(said):
    return " ".join(said.split())


@pytest.mark.parametrize(
    ("build", "start"),
    [
        (
            {},
            "Go: nothing stands against it. At hot idle the rockers get the oil the family was designed for, at ",
        ),
        (
            {"slots": {"lifter": "BW-121"}},
            "Stop. The way up ends at the lifter cup: Brackwater 121 blind lifter",
        ),
        ({"slots": {"lifter": [{"at": "3 intake", "part": "BW-121"}]}}, "Stop, 3 intake. The way up ends at"),
        (PRELOAD, "Stop. Hot, no preload is left"),
        (
            {"slots": {"lifter": {"part": "BW-118", "has": {"notch_area": None}}}},
            "Can't tell yet: measure the lifter notch area first.",
        ),
        (
            {"slots": {"lifter": [{"at": "3 intake", "part": "BW-118", "has": {"notch_area": None}}]}},
            "Can't tell yet: measure the lifter notch area (3 intake) first.",
        ),
        (
            {"open": ["lifter", "oil_pump"]},
            "Can't tell yet: choose the lifter and the oil pump first, left open",
        ),
        (
            {"slots": {"lifter": {"part": "BW-118", "has": {"feed_hole": None}}}},
            "Go: nothing stands against it, whatever is found where nobody has measured yet. At hot idle the"
            " rockers get 0.75 to 1 times the oil",
        ),
    ],
)
def test_the_sentence_that_decides_comes_first(text, build, start):
    assert flowed(text(build)).startswith(start)


def test_what_was_accepted_is_said_with_the_verdict_and_with_the_finding(ask, text):
    taken = [
        {"finding": finding.id, "reason": "bench engine", "by": "Pellow", "until": "2027-01-01"}
        for finding in ask(PRELOAD).findings
    ]
    said = flowed(text(PRELOAD, as_of="2026-11-01", accepts=taken))
    assert said.startswith("Go: nothing stands against it but what was accepted.")
    assert "caution, accepted: disc not seated" in said
    assert "Accepted by Pellow until 2027-01-01: bench engine" in said


def test_consequences_stand_once_under_their_root(text):
    said = text(PRELOAD)
    for rule in ("disc not seated", "more oil than designed", "hot idle pressure lost"):
        assert len(re.findall(f"caution: {rule}", said)) == 1
    told = [line for line in said.splitlines() if "stop: " in line or "caution: " in line]
    margins = [len(line) - len(line.lstrip()) for line in told]
    assert margins[:2] == [2, 6]
    order = ("hydraulic lifter with lash", "disc not seated", "more oil than designed")
    assert sorted(order, key=said.index) == list(order)


def test_a_root_that_explains_what_another_explains_too_does_not_tell_it_twice(text):
    said = text(
        slots={
            "lifter": [{"at": "3 intake", "part": "BW-121"}],
            "pushrod": [{"at": "3 intake", "part": "PR-5"}],
        }
    )
    assert len(re.findall(r"stop: no way up, 3 intake", said)) == 1


def test_the_intent_is_quoted_in_words(text):
    said = flowed(text(PRELOAD))
    assert "Designed so (Tarnholt Motor Works on preload and lifter disc rise): The disc meters only" in said


def test_values_are_told_with_standing_source_and_place(text):
    said = flowed(text(slots={"lifter": "BW-121"}))
    assert re.search(
        r"lifter metering: blind, published \(brackwater-catalogue\) \[kb/demo/lifters.yaml, line \d+\]", said
    )
    assert "the design's lifter metering: disc" in said


def test_what_is_not_known_is_a_job_to_do(text):
    said = flowed(text(slots={"lifter": {"part": "BW-118", "has": {"feed_hole": None, "notch_area": None}}}))
    assert "Not known yet lifter feed hole diameter of the drilled hole" in said
    assert "pin gauges in steps of 0.02 mm" in said
    assert "waits for it: " in said


def test_shop_units_come_first_and_si_is_one_switch_away(text):
    shop, si = text(PRELOAD), text(PRELOAD, "si")
    assert re.search(r"gallery pressure +[\d.]+ psi", shop)
    assert not re.search(r"\d psi\b", si)
    assert re.search(r"gallery pressure +[\d.]+ bar", si)
    assert re.search(r"hot preload +-?[\d.]+ thou", shop)
    assert not re.search(r"\d thou\b", si)


def test_a_gauge_reads_the_same_pressure_in_either_unit(text):
    psi, bar = (
        float(re.search(r"gallery pressure +([\d.]+)", text(PRELOAD, system))[1]) for system in ("shop", "si")
    )
    assert bar == pytest.approx(psi * 0.0689476, rel=0.01)  # 1 psi is 0.0689476 bar (NIST SP 811)


def test_what_differs_from_the_reference_is_listed(text):
    said = text(
        PRELOAD, slots={"oil": "MO-020", "lifter": {"has": {}}, "pushrod": [{"at": 3, "part": "PR-9"}]}
    )
    listed = said.partition("Differs from the reference in\n")[2].partition("\n\n")[0].splitlines()
    assert [line.strip() for line in listed] == [
        "lifter: as given",
        "pushrod, 3 intake, 3 exhaust: PR-9",
        "oil: MO-020",
        "preload: -10 thou",
    ]
    assert "Nothing differs from the reference" in text()
    assert "lifter: left open" in text(open=["lifter"])


def test_a_point_that_is_not_computed_says_why(text):
    assert "cruise: not computed, speed and oil temperature" in flowed(
        text(points={"cruise": {"speed": None}})
    )
    assert "hot idle: not computed, left open: lifter" in flowed(text(open=["lifter"]))


def test_bounds_are_shown_where_a_number_is_not_known(text):
    said = text(slots={"lifter": {"part": "BW-118", "has": {"feed_hole": None}}})
    assert re.search(r"gallery pressure +[\d.]+ to [\d.]+ psi", said)
    assert re.search(r"lifter metering +[\d.]+ to [\d.]+ psi +\d+ to \d+ %", said)
    assert not re.search(r"\d+ to \d+ psi to", said)


def test_a_shut_way_has_no_flow_rather_than_no_share(text):
    assert re.search(r"rocker oil hole .* no flow\n", text(slots={"lifter": "BW-121"}))


def test_bounds_that_read_the_same_are_one_number(library, ask):
    answer = ask(slots={"lifter": {"part": "BW-118", "has": {"feed_hole": None}}})
    tables = Tables(library.vocabulary)
    for point in answer.points:
        for one in point.computed:
            low, _, high = tables.shown(one).partition(" to ")
            assert not high or low != high.partition(" ")[0]


@every_build
def test_no_line_is_wider_than_100_columns():
    wide = [
        (name, line) for name, said in every_text().items() for line in said.splitlines() if len(line) > 100
    ]
    assert not wide


@every_build
def test_no_text_holds_a_name_of_the_program_instead_of_words():
    for said in every_text().values():
        prose = re.sub(r"\[[^\]]*\]|\([^)]*\)", "", said)  # places and sources keep their names
        assert not re.search(r"\b[a-z]+_[a-z]+|\{|None\b|nan\b", prose)


@every_build
def test_no_text_raises_its_voice():
    for said in every_text().values():
        assert "!" not in said
        assert not re.search(r"\b(DANGER|WARNING|CRITICAL|ERROR)\b", said)


@every_build
def test_every_text_ends_with_the_cautions():
    for said in every_text().values():
        assert "\nCautions\n  - " in said
        assert said.endswith("\n")
        assert not said.endswith("\n\n")


def test_a_finding_tells_the_way_out_that_clears_it(library, sheet_of):
    answer = check_with_mends(sheet_of(settings={"preload": "0 thou"}), library)
    text = " ".join(Speaker(library.vocabulary).answer(answer).split())
    ways = [way for finding in answer.findings for way in finding.mends]
    assert ways
    for way in ways:
        assert f"A way out: {way.do}: " in text
