"""Ways out and choices at the command line: text, JSON and exit codes."""

import json
from pathlib import Path

import pytest

from upfeed.advising.choosing.fits import fits
from upfeed.advising.choosing.mends import mends
from upfeed.answering.buildfile import read_build
from upfeed.answering.wire import encode

BUILDS = Path("shared/builds")


@pytest.mark.parametrize(("name", "code"), [("preload-lost", 1), ("reference", 0), ("notch-unknown", 3)])
def test_the_exit_code_tells_what_stands_against_the_build_as_it_is(upfeed, name, code):
    assert upfeed("mends", BUILDS / f"{name}.yaml").code == code


def test_the_best_way_is_told_first_with_what_it_clears_and_what_then_comes(upfeed):
    told = " ".join(upfeed("mends", BUILDS / "preload-lost.yaml").out.decode().split())
    first = told[told.index("1. ") : told.index("2. ")]
    assert first.startswith(
        "1. set the preload of the design: preload 25 thou instead of -10 thou Go. Clears "
    )
    assert "gallery pressure 27.5 psi (as designed)" in first


def test_what_is_missing_is_to_be_measured_before_anything_is_bought(upfeed):
    told = upfeed("mends", BUILDS / "notch-unknown.yaml").out.decode()
    assert told.index("Before anything is bought") < told.index("What may be done")


@pytest.mark.parametrize("units", ["shop", "si"])
def test_json_is_the_bytes_of_the_answer(upfeed, library, units):
    sheet = read_build(str(BUILDS / "preload-lost.yaml"), library)
    told = upfeed("mends", BUILDS / "preload-lost.yaml", "--format", "json", "--units", units).out
    assert told == encode(mends(sheet, library, units))
    told = upfeed(
        "fits", BUILDS / "reference.yaml", "--slot", "oil", "--format", "json", "--units", units
    ).out
    reference = read_build(str(BUILDS / "reference.yaml"), library)
    assert told == encode(fits(reference, library, ["oil"], units))
    assert {c["fit"] for c in json.loads(told)["slots"][0]["choices"]} == {"fits", "fits_with_findings"}


def test_what_fits_is_told_before_what_does_not_and_why_not(upfeed):
    told = upfeed("fits", BUILDS / "reference.yaml", "--slot", "lifter")
    assert told.code == 0
    text = told.out.decode()
    assert text.index("  Fits\n") < text.index("  Fits, with findings\n") < text.index("  Does not fit\n")
    assert "was made for another bore: its body is 0.904 in" in " ".join(text.split())


def test_a_build_with_nothing_open_and_no_slot_named_is_no_question(upfeed):
    refused = upfeed("fits", BUILDS / "reference.yaml")
    assert refused.code == 2
    assert "nothing left open" in refused.err


def test_a_slot_in_which_nothing_goes_gives_1(upfeed, tmp_path):
    """Every rocker meets a closed way up behind a blind lifter: none of them fits."""
    build = tmp_path / "build.yaml"
    build.write_text(
        "format: 1\nfamily: tarn-v8\nslots: {lifter: BW-121}\nopen: [rocker]\n", encoding="utf-8"
    )
    assert upfeed("fits", build).code == 1
