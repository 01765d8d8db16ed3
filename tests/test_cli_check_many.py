"""Many builds in one command: files, folders, standard input; one that can't be used among others; earlier answers."""

import json
from pathlib import Path
from shutil import copy
from xml.etree import ElementTree

import pytest

from upfeed.answering.buildfile import read_build
from upfeed.answering.check import check
from upfeed.answering.wire import encode

BUILDS = Path(__file__).parent.parent / "shared" / "builds"
CLEAN, NOTE, CAUTION, STOP, UNKNOWN = (
    BUILDS / f"{name}.yaml"
    for name in ("reference", "feed-hole-enlarged", "thin-oil", "blind-lifter", "notch-unknown")
)
WRONG = "format: 1\nfamily: tarn-v9\n"


@pytest.fixture
def folder(tmp_path):
    """Makes a folder of builds: shared ones by new names, or their text."""

    def make(name="builds", **builds):
        made = tmp_path / name
        made.mkdir()
        for stem, build in builds.items():
            if isinstance(build, Path):
                copy(build, made / f"{stem}.yaml")
            else:
                (made / f"{stem}.yml").write_text(build)
        return made

    return make


def test_json_is_a_list_of_answers_and_faults(upfeed, library, folder):
    saved = folder(a=CLEAN, b=WRONG)
    told = upfeed("check", STOP, saved, "--format", "json")
    assert told.code == 2
    assert json.loads(told.out)["format"] == 1
    stop, clean, wrong = json.loads(told.out)["checks"]
    assert [one["build"] for one in (stop, clean, wrong)] == [
        str(STOP),
        str(saved / "a.yaml"),
        str(saved / "b.yml"),
    ]
    for one, path in ((stop, STOP), (clean, CLEAN)):
        assert one["answer"] == json.loads(encode(check(read_build(str(path), library), library)))
        assert one["state"] == "checked"
    (fault,) = wrong["faults"]
    assert (wrong["state"], wrong["kind"]) == ("refused", "unusable-build")
    assert (fault["file"], fault["line"], fault["path"]) == (str(saved / "b.yml"), 2, "family")
    assert told.err == f"{fault['says']}\n"


def test_a_folder_gives_a_list_however_little_it_holds(upfeed, folder):
    assert len(json.loads(upfeed("check", folder(a=CLEAN), "--format", "json").out)["checks"]) == 1
    told = upfeed("check", folder("empty"), CLEAN, "--format", "json")
    empty, clean = json.loads(told.out)["checks"]
    assert (told.code, empty["state"], clean["state"]) == (2, "refused", "checked")
    assert "found no build; expected builds in YAML or JSON" in told.err


def test_builds_of_folders_come_in_order_of_name_and_once(upfeed, folder):
    saved = folder(c=CLEAN, a=WRONG, b=CLEAN)
    (saved / "d.json").write_text("{}")
    (saved / "notes.txt").write_text("not a build")
    told = json.loads(upfeed("check", saved, saved / "c.yaml", "--format", "json").out)["checks"]
    assert [Path(one["build"]).name for one in told] == ["a.yml", "b.yaml", "c.yaml", "d.json"]


def test_standard_input_is_one_of_several(upfeed):
    told = json.loads(upfeed("check", CLEAN, "-", "--format", "json", stdin=NOTE.read_bytes()).out)["checks"]
    assert told[1]["build"] == "-"
    assert told[1]["answer"]["findings"]
    twice = upfeed("check", "-", "-", stdin=CLEAN.read_bytes())
    assert (twice.code, twice.out) == (2, b"")


@pytest.mark.parametrize(
    ("builds", "fail_on", "code"),
    [
        ((CLEAN, NOTE), "caution", 0),
        ((CLEAN, NOTE), "note", 1),
        ((CLEAN, UNKNOWN), "stop", 3),
        ((CAUTION, UNKNOWN), "caution", 1),
        ((CAUTION, UNKNOWN), "stop", 3),
        ((UNKNOWN, CAUTION, "none.yaml"), "note", 2),
    ],
)
def test_the_worst_build_decides_the_exit_code(upfeed, builds, fail_on, code):
    assert upfeed("check", *builds, "--fail-on", fail_on, "--format", "lines").code == code


def test_text_names_each_build_above_its_answer(upfeed):
    told = upfeed("check", CLEAN, STOP).text
    assert f"{CLEAN}\n\nGo: " in told
    assert f"\n{STOP}\n\nStop. " in told
    assert upfeed("check", CLEAN).text.startswith("Go: ")


def test_lines_can_be_searched(upfeed):
    told = upfeed("check", CLEAN, CAUTION, STOP, "--format", "lines").text.splitlines()
    assert [line.split(": ")[:2] for line in told] == [
        [str(CAUTION), "caution"],
        [str(STOP), "stop"],
        [str(STOP), "stop"],
    ]


def test_junit_is_written_for_one_build_that_cannot_be_used(upfeed, build_file):
    told = upfeed("check", build_file(WRONG), "--format", "junit")
    assert told.code == 2
    (suite,) = ElementTree.fromstring(told.out)
    assert suite.get("errors") == "1"
    assert "Did you mean tarn-v8" in told.err


def test_junit_has_a_case_for_every_area_of_rules(upfeed, library):
    (suite,) = ElementTree.fromstring(upfeed("check", CAUTION, "--format", "junit").out)
    areas = {rule.area for rule in library.rulebook.rules.values()}
    assert [case.get("name") for case in suite] == ["build", *sorted(areas)]
    assert [case.get("name") for case in suite if case.find("failure") is not None] == ["pressure"]


@pytest.fixture
def earlier(upfeed, tmp_path):
    """Keeps the answers of builds and gives the file."""

    def keep(*builds):
        file = tmp_path / "earlier.json"
        file.write_bytes(upfeed("check", *builds, "--format", "json").out)
        return file

    return keep


@pytest.mark.parametrize("build", [CAUTION, STOP, UNKNOWN])
def test_nothing_counts_that_stood_before(upfeed, earlier, build):
    told = upfeed("check", build, "--fail-on", "note", "--baseline", earlier(build))
    assert (told.code, told.err) == (0, "")


def test_what_is_new_counts_and_is_named(upfeed, earlier):
    kept = earlier(CLEAN)
    told = upfeed("check", CAUTION, "--baseline", kept, "--format", "lines")
    assert told.code == 1
    assert told.err == f"{CAUTION}: new: hot-idle-pressure-lost@oil_pump-gallery/all\n"
    assert upfeed("check", UNKNOWN, "--baseline", kept).code == 3


def test_a_finding_counts_once_its_figure_has_grown(upfeed, earlier, build_file):
    def fed(notch):
        lifter = {"part": "BW-133", "has": {"notch_area": notch}}
        return build_file({"format": 1, "family": "tarn-v8", "slots": {"lifter": lifter}})

    kept = earlier(fed("0.00022 in2"))
    assert upfeed("check", fed("0.00022 in2"), "--baseline", kept).code == 0
    worse = upfeed("check", fed("0.0004 in2"), "--baseline", kept)
    assert worse.code == 1
    assert ": worse: more-oil-than-designed@" in worse.err
    assert upfeed("check", fed("0.0002 in2"), "--baseline", kept).code == 0


def test_an_acceptance_that_has_lapsed_counts_as_new(upfeed, earlier, build_file):
    (id_,) = (one["id"] for one in json.loads(upfeed("check", CAUTION, "--format", "json").out)["findings"])
    taken = {"finding": id_, "reason": "wanted", "by": "M. Pellow", "until": "2027-06-30"}
    text = CAUTION.read_text() + f"accepts:\n  - {json.dumps(taken)}\n"
    kept = earlier(build_file(text + "as_of: 2027-06-30\n"))
    told = upfeed("check", build_file(text + "as_of: 2027-07-01\n"), "--baseline", kept)
    assert (told.code, told.err.split(": ")[1]) == (1, "lapsed")


def test_earlier_answers_of_many_are_found_by_build(upfeed, earlier, folder):
    saved = folder(a=CAUTION, b=CLEAN)
    kept = earlier(saved)
    assert upfeed("check", saved, "--baseline", kept).code == 0
    assert upfeed("check", saved / "a.yaml", "--baseline", kept).code == 0
    copy(CAUTION, saved / "c.yaml")
    told = upfeed("check", saved, "--baseline", kept)
    assert told.code == 1
    assert told.err.startswith(f"{saved / 'c.yaml'}: new: ")


@pytest.mark.parametrize("content", ["", "[]", "[]]", '{"format": 1}', '{"format": 1, "checks": 1}'])
def test_a_baseline_that_is_none_cannot_be_used(upfeed, tmp_path, content):
    (tmp_path / "earlier.json").write_text(content)
    told = upfeed("check", CLEAN, "--baseline", tmp_path / "earlier.json")
    assert (told.code, told.out) == (2, b"")
    assert "expected what upfeed check --format json wrote" in told.err
