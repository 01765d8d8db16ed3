"""The command line: exit codes, formats, the same bytes by every way in."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from upfeed import __version__, cli
from upfeed.answering.buildfile import read_build
from upfeed.answering.check import MOST_SAMPLES, SAMPLES, check
from upfeed.answering.wire import encode

BUILDS = Path(__file__).parent.parent / "shared" / "builds"
TARN = {"format": 1, "family": "tarn-v8"}
NOTE, CAUTION, STOP, CLEAN, UNKNOWN = (
    BUILDS / f"{name}.yaml"
    for name in ("feed-hole-enlarged", "thin-oil", "blind-lifter", "reference", "notch-unknown")
)


@pytest.mark.parametrize(
    ("path", "fail_on", "code"),
    [
        (CLEAN, "note", 0),
        (NOTE, "note", 1),
        (NOTE, "caution", 0),
        (CAUTION, "note", 1),
        (CAUTION, "caution", 1),
        (CAUTION, "stop", 0),
        (STOP, "stop", 1),
        (STOP, "note", 1),
        (UNKNOWN, "stop", 3),
        (UNKNOWN, "note", 3),
    ],
)
def test_the_exit_code_tells_findings_at_or_above_the_asked_weight(upfeed, path, fail_on, code):
    assert upfeed("check", path, "--fail-on", fail_on).code == code


def test_cautions_count_unless_asked_otherwise(upfeed):
    assert [upfeed("check", path).code for path in (CLEAN, NOTE, CAUTION, STOP, UNKNOWN)] == [0, 0, 1, 1, 3]


@pytest.mark.parametrize("form", ["text", "json"])
def test_unusable_input_gives_2_and_nothing_on_standard_output(upfeed, build_file, form):
    told = upfeed("check", build_file("format: 1\nfamily: tarn-v9\nslot: {}\n"), "--format", form)
    assert (told.code, told.out) == (2, b"")
    assert len(told.err.splitlines()) == 2
    assert "Did you mean tarn-v8" in told.err


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", "none.yaml"],
        ["check"],
        ["check", str(CLEAN), "--fail-on", "nothing"],
        ["check", str(CLEAN), "--format", "xml"],
        ["check", str(CLEAN), "--kb", "nowhere"],
        ["check", str(CLEAN), "--rules", "nowhere"],
        ["show", "BW-188"],
        ["parts", "--kind", "liftr"],
        ["no-such-command"],
    ],
)
def test_whatever_cannot_be_used_gives_2_and_says_why(upfeed, arguments):
    told = upfeed(*arguments)
    assert (told.code, told.out) == (2, b"")
    assert told.err


def test_faults_of_several_files_of_a_layer_come_at_once(upfeed, tmp_path):
    (tmp_path / "a.yaml").write_text("format: 2\n")
    (tmp_path / "b.yaml").write_text("format: 1\nparts: {}\n")
    told = upfeed("check", CLEAN, "--kb", tmp_path)
    assert told.code == 2
    assert [line.partition(",")[0] for line in told.err.splitlines()] == [
        f"{tmp_path.name}/a.yaml",
        f"{tmp_path.name}/b.yaml",
    ]


@pytest.mark.parametrize("path", [CLEAN, NOTE, CAUTION, STOP, UNKNOWN], ids=lambda path: path.stem)
def test_json_is_the_bytes_of_the_answer(upfeed, library, path):
    expected = encode(check(read_build(str(path), library), library))
    assert upfeed("check", path, "--format", "json").out == expected
    assert upfeed("check", path, "--format", "json").out == expected


def test_how_sure_it_is_told_unless_one_asks_for_no_draws(upfeed, library):
    sheet = read_build(str(NOTE), library)
    usual, none = encode(check(sheet, library, samples=SAMPLES)), encode(check(sheet, library))
    assert upfeed("check", NOTE, "--format", "json", "--samples", SAMPLES).out == usual
    assert upfeed("check", NOTE, "--format", "json", "--samples", "0").out == none
    assert "How sure" in upfeed("check", NOTE, "--samples", "16").text
    assert "How sure" not in upfeed("check", NOTE, "--samples", "0").text
    default = next(option for option in cli.cli.commands["check"].params if option.name == "samples")
    assert default.default == SAMPLES
    for refused in ("-1", str(MOST_SAMPLES + 1), "many"):
        assert upfeed("check", NOTE, "--samples", refused).code == 2


def test_yaml_json_and_standard_input_give_the_same_bytes(upfeed, build_file):
    text = (
        "format: 1\nfamily: tarn-v8\nbuild: b\nslots:\n  lifter: {part: BW-118, has: {feed_hole: 0.06 in}}\n"
    )
    build = TARN | {"build": "b", "slots": {"lifter": {"part": "BW-118", "has": {"feed_hole": "0.06 in"}}}}
    by_yaml = upfeed("check", build_file(text), "--format", "json").out
    by_json = upfeed("check", build_file(build, "build.json"), "--format", "json").out
    by_input = upfeed("check", "-", "--format", "json", stdin=json.dumps(build).encode()).out
    assert by_yaml == by_json == by_input
    assert b'"build": "/slots/lifter/has/feed_hole"' in by_yaml


def test_the_same_bytes_whatever_the_hash_seed_and_the_folder_one_stands_in(tmp_path):
    def run(seed, folder):
        command = [sys.executable, "-c", "from upfeed.cli import main; main()"]
        environment = os.environ | {"PYTHONHASHSEED": seed}
        arguments = ["check", str(CAUTION), "--format", "json", "--samples", "8"]
        return subprocess.run(
            command + arguments, env=environment, cwd=folder, capture_output=True, check=False
        )

    runs = [run(seed, folder) for seed, folder in (("0", "."), ("1", tmp_path), ("random", tmp_path))]
    assert [run.returncode for run in runs] == [1, 1, 1]
    assert runs[0].stdout
    assert len({run.stdout for run in runs}) == 1


def test_units_change_what_is_said_not_what_is_found(upfeed):
    shop, si = (
        json.loads(upfeed("check", CAUTION, "--format", "json", "--units", units).out)
        for units in ("shop", "si")
    )
    assert "psi" in shop["findings"][-1]["says"]
    assert "bar" in si["findings"][-1]["says"]
    assert shop["points"] == si["points"]
    assert shop["verdict"] == si["verdict"]


def test_a_layer_of_parts_and_one_of_rules_count(upfeed, tmp_path):
    kb, rules = tmp_path / "shop", tmp_path / "shop-rules" / "path"
    kb.mkdir()
    rules.mkdir(parents=True)
    (kb / "oil.yaml").write_text(
        "format: 1\nparts:\n  - {part: SHOP-1, kind: oil, name: shop oil, maker: Shop, has: {viscosity_40: 62 cSt,"
        " viscosity_100: 10.6 cSt, density_15: 855 kg/m3}}\n"
    )
    (rules / "limits.yaml").write_text(
        "format: 1\nlimits: {too_much: {is: 1.0, means: any more than designed, source: common-practice}}\n"
    )
    told = upfeed("check", "-", "--kb", kb, stdin=b"format: 1\nfamily: tarn-v8\nslots: {oil: SHOP-1}\n")
    assert told.code == 0
    assert "oil: SHOP-1" in told.text
    assert upfeed("check", CLEAN, "--rules", tmp_path / "shop-rules").code == 1


def test_parts_and_show_print_what_is_known(upfeed):
    assert "BW-118" in upfeed("parts", "--kind", "lifter").text
    assert "0.052 in" in upfeed("show", "4118").text


def test_the_version_is_told(upfeed):
    told = upfeed("--version")
    assert told.code == 0
    assert __version__ in told.text


@pytest.mark.parametrize("command", [[], ["check"], ["parts"], ["show"]])
def test_every_command_says_what_it_is_for(upfeed, command):
    told = upfeed(*command, "--help")
    assert told.code == 0
    assert "Usage:" in told.text
