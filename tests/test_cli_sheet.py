"""The command that prints a bench sheet: exit codes, bytes, what is asked beside the build."""

import json
from pathlib import Path

import pytest

BUILDS = Path(__file__).parent.parent / "shared" / "builds"
CLEAN, STOP, UNKNOWN = (BUILDS / f"{name}.yaml" for name in ("reference", "blind-lifter", "notch-unknown"))


@pytest.mark.parametrize(("path", "code"), [(CLEAN, 0), (STOP, 0), (UNKNOWN, 3)])
def test_the_exit_code_tells_whether_the_sheet_is_whole(upfeed, path, code):
    told = upfeed("sheet", path)
    assert told.code == code
    assert told.text.startswith("Bench sheet: ")


def test_standard_input_gives_the_same_bytes(upfeed):
    piped = upfeed("sheet", "-", "--format", "json", stdin=CLEAN.read_bytes())
    assert piped.out == upfeed("sheet", CLEAN, "--format", "json").out
    assert len(json.loads(piped.out)["valves"]) == 16


def test_a_pitch_gives_turns(upfeed):
    told = json.loads(upfeed("sheet", CLEAN, "--pitch", "1/24 in", "--format", "json").out)
    assert told["valves"][0]["turns"]["shown"] == "0.36"


def test_a_bench_of_one_s_own_gives_its_own_oil(upfeed):
    told = upfeed(
        "sheet", CLEAN, "--bench-pressure", "2 bar", "--bench-temperature", "20 C", "--units", "si"
    ).text
    assert "in 60 s at 2 bar, the engine's oil at 20 C" in " ".join(told.split())


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["none.yaml"], "none.yaml: found no such file or directory"),
        ([str(CLEAN), "--pitch", "1.25"], 'command line, --pitch: found "1.25" without a unit'),
        ([str(CLEAN), "--bench-pressure", "900 bar"], "expected 0.5 kPa to 20 bar"),
        ([], "Missing argument 'BUILD'"),
    ],
)
def test_unusable_input_is_said_plainly(upfeed, arguments, told):
    ended = upfeed("sheet", *arguments)
    assert (ended.code, ended.out) == (2, b"")
    assert told in ended.err


def test_a_broken_build_tells_all_that_is_wrong(upfeed, build_file):
    told = upfeed("sheet", build_file("format: 1\nfamily: tarn-v9\nslot: {}\n"))
    assert (told.code, told.out) == (2, b"")
    assert len(told.err.splitlines()) == 2
