"""The command that sets two builds side by side: exit codes, standard input, faults of both files."""

import json
from pathlib import Path

import pytest

BUILDS = Path(__file__).parent.parent / "shared" / "builds"
CLEAN, LARGE, ONE_BLIND, BLIND, UNKNOWN, SIX = (
    BUILDS / f"{name}.yaml"
    for name in (
        "reference",
        "tarn-large-notches",
        "one-odd-lifter",
        "blind-lifter",
        "notch-unknown",
        "dunmere-six-reference",
    )
)


@pytest.mark.parametrize(
    ("first", "second", "fail_on", "code"),
    [
        (CLEAN, CLEAN, "note", 0),
        (CLEAN, LARGE, "caution", 1),
        (CLEAN, LARGE, "stop", 0),
        (LARGE, CLEAN, "note", 0),
        (LARGE, LARGE, "note", 0),
        (BLIND, BLIND, "note", 0),
        (ONE_BLIND, BLIND, "stop", 1),
        (BLIND, ONE_BLIND, "stop", 0),
        (CLEAN, UNKNOWN, "stop", 3),
        (UNKNOWN, CLEAN, "stop", 3),
        (CLEAN, SIX, "note", 0),
    ],
)
def test_the_exit_code_tells_what_is_new_or_worse(upfeed, first, second, fail_on, code):
    assert upfeed("compare", first, second, "--fail-on", fail_on).code == code


def test_what_the_second_build_accepts_does_not_count(upfeed, build_file):
    answer = json.loads(upfeed("check", LARGE, "--format", "json").out)
    (id_,) = (finding["id"] for finding in answer["findings"])
    accepts = [{"finding": id_, "reason": "wanted", "by": "M. Pellow", "until": "2027-06-30"}]
    taken = {"format": 1, "family": "tarn-v8", "slots": {"lifter": "BW-133"}, "as_of": "2027-01-01"}
    told = upfeed("compare", CLEAN, build_file(taken | {"accepts": accepts}))
    assert told.code == 0
    assert "caution, accepted: more oil than designed" in told.text


def test_one_of_them_may_come_from_standard_input(upfeed):
    piped = upfeed("compare", "-", LARGE, "--format", "json", stdin=CLEAN.read_bytes())
    assert piped.out == upfeed("compare", CLEAN, LARGE, "--format", "json").out
    both = upfeed("compare", "-", "-", stdin=CLEAN.read_bytes())
    assert (both.code, both.out) == (2, b"")
    assert "found two builds; expected no more than one build from there" in both.err


def test_faults_of_both_files_are_told_at_once(upfeed, build_file):
    one = build_file("format: 1\nfamily: tarn-v9\n", "one.yaml")
    told = upfeed("compare", one, "none.yaml")
    assert (told.code, told.out) == (2, b"")
    assert len(told.err.splitlines()) == 2
    assert "Did you mean tarn-v8" in told.err
    assert "none.yaml: found no such file or directory" in told.err


@pytest.mark.parametrize("arguments", [[], [str(CLEAN)], [str(CLEAN), str(LARGE), "--samples", "-1"]])
def test_a_command_that_is_not_whole_is_unusable(upfeed, arguments):
    told = upfeed("compare", *arguments)
    assert (told.code, told.out) == (2, b"")
    assert "Usage" in told.err


def test_the_help_tells_what_the_exit_code_means(upfeed):
    told = upfeed("compare", "--help")
    assert told.code == 0
    assert "is new in B or has grown worse" in " ".join(told.text.split())
