"""Builds from files and from standard input."""

import io
import json
import sys
from pathlib import Path

import pytest

from upfeed.answering.buildfile import read_build
from upfeed.answering.digests import of_sheet
from upfeed.reading.faults import DataFaults

BUILDS = Path(__file__).parents[2] / "shared" / "builds"
SHEET = {"format": 1, "build": "b", "family": "tarn-v8", "slots": {"lifter": "BW-121"}}


@pytest.fixture
def told(library):
    def faults(path):
        with pytest.raises(DataFaults) as wrong:
            read_build(str(path), library)
        return [str(fault) for fault in wrong.value.faults]

    return faults


@pytest.fixture
def read(library):
    return lambda path: read_build(str(path), library)


@pytest.mark.parametrize(
    "name", ["build.json", "BUILD.JSON", "build.yaml", "build.yml", "build", "build.txt"]
)
def test_json_is_read_under_any_name(read, build_file, name):
    assert read(build_file(SHEET, name)).slots["lifter"][0].part == "BW-121"


def test_yaml_may_begin_with_a_brace(read, build_file):
    path = build_file("{format: 1, family: tarn-v8, slots: {lifter: BW-121}}\n", "build.yaml")
    assert read(path).slots["lifter"][0].part == "BW-121"


def test_a_build_says_the_same_in_either_form(read, build_file):
    text = "format: 1\nbuild: b\nfamily: tarn-v8\nslots:\n  lifter: BW-121\n"
    assert of_sheet(read(build_file(text))) == of_sheet(read(build_file(SHEET, "build.json")))


def test_what_a_build_says_is_told_apart(read, build_file):
    said = [
        SHEET,
        SHEET | {"name": "x"},
        SHEET | {"settings": {"preload": "25 thou"}},
        SHEET | {"settings": {"preload": None}},
        SHEET | {"slots": {"lifter": {"part": "BW-121", "has": {"wall": None}}}},
        SHEET | {"slots": {"lifter": {"part": "BW-121", "has": {"wall": "2 mm"}}}},
        SHEET | {"open": ["oil"]},
        SHEET | {"as_of": "2026-11-01"},
    ]
    assert len({of_sheet(read(build_file(one, "build.json"))) for one in said}) == len(said)


def test_a_dash_is_standard_input(read, monkeypatch):
    for content in (json.dumps(SHEET), "format: 1\nfamily: tarn-v8\nslots: {lifter: BW-121}\n"):
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content.encode())))
        assert read("-").slots["lifter"][0].part == "BW-121"


def test_faults_of_standard_input_say_so(told, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"format: 1\nfamily: tarn-v9\n")))
    assert told("-")[0].startswith('standard input, line 2, family: found "tarn-v9"')


def test_a_missing_file_is_a_fault(told, tmp_path):
    assert told(tmp_path / "none.yaml") == [
        f"{tmp_path}/none.yaml: found no such file or directory; expected a build in YAML or JSON."
    ]


def test_an_unreadable_file_is_a_fault(told, tmp_path):
    assert "found is a directory" in told(tmp_path)[0]


def test_faults_of_json_name_the_file_and_point_into_it(told, build_file):
    path = build_file(SHEET | {"slots": {"lifter": {"has": {"feed_hole": "0.052"}}}}, "build.json")
    (fault,) = told(path)
    assert fault.startswith(f"{path}, at /slots/lifter/has/feed_hole, ")


@pytest.mark.parametrize("text", ["{", '{"format": 1', "{'format': 1}", '{"format": NaN}', "[" * 100_000])
def test_broken_json_is_a_fault(told, build_file, text):
    path = build_file(text, "build.json")
    assert all(line.startswith(str(path)) for line in told(path))


def test_equal_keys_of_json_are_a_fault(told, build_file):
    path = build_file(
        '{"format": 1, "family": "tarn-v8", "slots": {"oil": "MO-020", "oil": "MO-530"}}', "b.json"
    )
    assert told(path) == [
        f'{path}, at /slots: found the key "oil" again; expected it only once. Take one of them out.'
    ]


@pytest.mark.parametrize("path", sorted(BUILDS.glob("*.yaml")), ids=lambda path: path.stem)
def test_every_shipped_build_can_be_read_and_is_named_as_its_file(read, path):
    assert read(path).id == path.stem
