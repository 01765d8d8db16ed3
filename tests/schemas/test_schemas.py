import json
import re
import shutil
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from shipped import shipped_library
from tree_data import data_of
from upfeed.answering.buildfile import read_build
from upfeed.answering.library import open_library
from upfeed.judging.rulefolder import load_rules
from upfeed.knowledge.load import Layer
from upfeed.reading.faults import DataFaults
from upfeed.reading.units import QUANTITIES, UnitFault, parse, units_of
from upfeed.schemas.generate import files, schemas

TOP = Path(__file__).parents[2]
LIBRARY = shipped_library()
VOCABULARY = LIBRARY.vocabulary
SCHEMAS = schemas(VOCABULARY)
VALIDATORS = {name: Draft202012Validator(schema) for name, schema in SCHEMAS.items()}
SHIPPED = [
    *(("knowledge", path) for path in sorted((TOP / "kb").rglob("*.yaml"))),
    *(("build", path) for path in sorted((TOP / "shared" / "builds").glob("*.yaml"))),
    *((path.stem, path) for path in sorted((TOP / "rules").rglob("*.yaml"))),
]
BROKEN = Path(__file__).parents[1] / "broken"
FILES = sorted(path for path in BROKEN.rglob("*.yaml") if path.stem != "sound")
SOUND = sorted(BROKEN.rglob("sound.yaml"))


def shown(path):
    return path.relative_to(TOP).as_posix()


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_schema_is_a_schema(name):
    Draft202012Validator.check_schema(SCHEMAS[name])


def test_the_committed_schemas_are_what_the_vocabulary_makes():
    for name, content in files(VOCABULARY).items():
        assert (TOP / "openapi" / "schemas" / name).read_bytes() == content


def test_every_kind_of_file_is_shipped_and_has_broken_ones():
    assert {kind for kind, _ in SHIPPED} == set(SCHEMAS) == {path.parent.name for path in FILES}


@pytest.mark.parametrize(("kind", "path"), SHIPPED, ids=[shown(path) for _, path in SHIPPED])
def test_every_shipped_file_is_accepted(kind, path):
    assert [error.message for error in VALIDATORS[kind].iter_errors(data_of(path))] == []


def refused(path, folder):
    """What the loader says to a file put where files of its kind belong."""
    try:
        LOADERS[path.parent.name](path, folder)
    except DataFaults as faults:
        return faults.faults
    return ()


def as_knowledge(path, folder):
    shutil.copy(path, folder)
    open_library([folder])


def as_build(path, _):
    read_build(str(path), LIBRARY)


def as_rule_file(path, folder):
    own = folder / "lifter" / "hole-too-large"
    own.mkdir(parents=True)
    for kind, place in (("rule", own), ("cases", own), ("limits", own.parent)):
        given_file = path if path.parent.name == kind else BROKEN / kind / "sound.yaml"
        shutil.copy(given_file, place / f"{kind}.yaml")
    load_rules([Layer("shop", folder)], VOCABULARY, LIBRARY.knowledge.sources)


LOADERS = {
    "knowledge": as_knowledge,
    "build": as_build,
    **dict.fromkeys(("rule", "cases", "limits"), as_rule_file),
}


@pytest.mark.parametrize("path", SOUND, ids=shown)
def test_the_sound_files_are_accepted_by_schema_and_loader(path, tmp_path):
    assert [error.message for error in VALIDATORS[path.parent.name].iter_errors(data_of(path))] == []
    assert refused(path, tmp_path) == ()


@pytest.mark.parametrize("path", FILES, ids=shown)
def test_a_broken_file_is_refused_and_told_where_and_what(path, tmp_path):
    faults = refused(path, tmp_path)
    told = re.search(r"^# Told: (.*)$", path.read_text(encoding="utf-8"), re.MULTILINE)[1]
    assert told in " ".join(" ".join(str(fault).split()) for fault in faults)
    (first, *_) = faults
    assert first.found
    assert first.expected
    assert first.origin.file
    assert first.origin.line > 0


@pytest.mark.parametrize("path", FILES, ids=shown)
def test_a_schema_refuses_what_it_can_see(path):
    seen = "# A schema refuses it." in path.read_text(encoding="utf-8")
    assert seen or "# A schema cannot see it." in path.read_text(encoding="utf-8")
    assert VALIDATORS[path.parent.name].is_valid(data_of(path)) is not seen


NUMBERS = st.one_of(
    st.decimals(-9999, 9999, places=3).map(str),
    st.sampled_from(["5/16", "1 1/2", "-3/8", "1e-3", ".5", "+.25", "0", "1,5", "1.", "nan", "1/0", "--1"]),
)
UNITS = st.sampled_from(sorted({unit for name in QUANTITIES for unit in units_of(name)}))


@settings(max_examples=500, derandomize=True, deadline=None)
@given(st.sampled_from(sorted(QUANTITIES)), NUMBERS, st.sampled_from(["", " ", "  "]), UNITS)
@example("length", "1 1/2", " ", "in")
@example("flow", "1.5", " ", "US gal/min")
@example("ratio", "85", "", "%")
def test_a_schema_accepts_every_quantity_that_the_loader_does(name, number, gap, unit):
    text = f"{number}{gap}{unit}"
    try:
        parse(text, name)
    except UnitFault:
        return
    pattern = SCHEMAS["knowledge"]["$defs"][name]["pattern"]
    assert re.search(pattern, text)


@pytest.mark.parametrize("name", sorted(QUANTITIES))
def test_a_quantity_with_a_unit_of_another_quantity_is_refused(name):
    own = Draft202012Validator(SCHEMAS["knowledge"]["$defs"][name])
    for unit in {unit for other in QUANTITIES for unit in units_of(other)} - set(units_of(name)):
        assert not own.is_valid(f"2 {unit}".strip())


def test_schemas_are_plain_json_without_long_lines_of_surprises():
    for content in files(VOCABULARY).values():
        assert content.endswith(b"}\n")
        assert json.loads(content)["$schema"].endswith("2020-12/schema")
