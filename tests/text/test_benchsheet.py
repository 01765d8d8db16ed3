"""The bench sheet as it is printed."""

import re

import pytest

from upfeed.advising.sheet.asking import Bench
from upfeed.advising.sheet.making import bench_sheet
from upfeed.text.benchsheet import bench_sheet as printed

BUILDS = {
    "reference": {},
    "unknown": {"slots": {"lifter": {"part": "BW-118", "has": {"notch_area": None}}}},
    "odd": {"slots": {"lifter": [{"at": "all", "part": "BW-118"}, {"at": "3 intake", "part": "BW-121"}]}},
    "blind": {"slots": {"lifter": "BW-121"}},
    "open": {"open": ["lifter"]},
    "six": {"family": "dunmere-six"},
    "from above": {"family": "orlebeck-five"},
    "pedestals": {
        "family": "wrenmoor-four",
        "name": "a name that would not fit on one line of a sheet of paper, however small",
    },
}


@pytest.fixture(scope="module")
def texts(library, sheet_of):
    made = {
        name: printed(
            bench_sheet(sheet_of(build), library, "si" if name == "six" else "shop", 0, Bench(pitch=1e-3))
        )
        for name, build in BUILDS.items()
    }
    return made | {"drawn": printed(bench_sheet(sheet_of({}), library, "shop", 64))}


def flowed(text):
    return " ".join(text.split())


def test_it_fits_on_paper(texts):
    for text in texts.values():
        assert all(len(line) <= 80 and line == line.rstrip() for line in text.splitlines())
        assert text.endswith("_\n")
        assert not {"None", "nan", "inf"} & set(text.replace(",", " ").split())


def test_it_goes_in_the_order_of_the_work_and_ends_with_names_and_date(texts):
    for text in texts.values():
        heads = [
            "1  Measure",
            "2  Put",
            "3  Sight",
            "4  Preload",
            "5  Prime",
            "6  First",
            "7  After 20",
            "Cautions",
            "date _",
        ]
        places = [text.index(f"\n{head}") for head in heads]
        assert places == sorted(places)


def test_a_line_a_valve_is_there_to_be_filled_in(texts):
    lines = texts["odd"].splitlines()
    numbered = [line.split()[0] for line in lines if "lifter notch area, all except 3 intake" in line]
    assert numbered
    row = next(line for line in lines if line.startswith("   3 intake          "))
    other = next(line for line in lines if line.startswith("   3 exhaust         "))
    assert "   -" in row
    assert row.count("_______") < other.count("_______")


def test_pins_bench_flow_and_bands_are_printed(texts):
    text = flowed(texts["drawn"])
    assert "pin, inch: 0.051 in goes, 0.053 in does not" in text
    assert "mL in 60 s at 40 psi, the engine's oil at 40 C" in text
    assert "% of what the answer may be off)" in text
    line = next(line for line in texts["drawn"].splitlines() if line.startswith("   hot idle, 650 rpm"))
    assert " psi (" in line
    assert line.endswith("read: _______")


def test_like_valves_are_told_as_one(texts):
    assert "   all intake\n      [ ] on the base circle: band from " in texts["reference"]
    assert "[ ] all valves: cold 25 thou, 0.381 turns in from no play" in flowed(texts["reference"])
    assert "[ ] 3 intake: nothing, no oil comes up here" in texts["odd"]


def test_what_is_missing_is_said_with_what_to_do(texts):
    assert "lifter notch area: not known (nobody has measured it)" in texts["unknown"]
    assert "lifter: nothing to measure: choose a lifter" in texts["open"]
    assert "hot idle: not computed: left open: lifter" in texts["open"]
    assert "Settle that before anything is put together." in flowed(texts["blind"])
    assert "no rocker is reached" in texts["blind"]
    assert "another pushrod changes it, no turns do" in flowed(texts["six"])
    assert "ten threads with calipers" in flowed(texts["drawn"])
    assert "A marker line" not in texts["from above"]


def test_cups_at_priming_are_told_with_the_drill_the_oil_and_where_a_shut_rocker_is_fed(texts):
    text = flowed(texts["reference"])
    assert "pump at 400 rpm, oil at 20 C: gauge and cups below are for these" in text
    assert re.search(r"past cylinder 1 firing, gauge at \d+ psi; tick each rocker", text)
    assert re.search(r"\d+ mL in a cup within 30 s, once oil stands: \[ \] 1 intake", text)
    assert re.search(r"shut here, fed at \d+ deg: \d \w+ \([\d.]+ mL creeps past the band\)", text)
    assert re.search(r"\d+ mL \(\d+ to \d+ mL\) in a cup", flowed(texts["drawn"]))


def test_cups_that_are_not_told_say_why_once(texts):
    text = flowed(texts["unknown"])
    assert text.count("what a cup under a rocker should catch is not told: it hangs on") == 1
    assert "mL in a cup" not in text


def test_a_rocker_that_no_stop_reaches_is_named_once(texts):
    text = flowed(texts["odd"])
    assert "not reached with the engine parked: 3 intake" in text
    assert not re.search(r"shut here[^:]*: 3 intake", text)
