"""Bad input: every fault named with its place, and nothing that people or programs write gets further than that."""

import json
import math
from pathlib import Path

import msgspec
import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from upfeed.answering.answer import Answer
from upfeed.answering.buildfile import read_build
from upfeed.answering.check import check
from upfeed.answering.library import open_library
from upfeed.answering.wire import encode
from upfeed.knowledge.load import Layer, load
from upfeed.reading.faults import DataFaults
from upfeed.text.say import Speaker

TOP = Path(__file__).parent.parent
BUILDS = TOP / "shared" / "builds"
HEAD = "format: 1\nbuild: x\nfamily: tarn-v8\n"

BROKEN = {
    "nothing at all": ("", 0, ["an empty document"]),
    "only a comment": ("# to do\n", 0, ["an empty document"]),
    "no YAML": ("format: 1\nslots: {lifter: BW-118\n", 3, ["text that is not YAML"]),
    "a tab for indentation": ("format: 1\nslots:\n\tlifter: BW-118\n", 3, ["Indent with spaces"]),
    "a colon in a name": ("format: 1\nname: mine: old\n", 2, ['Text that holds ": " goes in quotes.']),
    "a list": ("- format: 1\n", 1, ["a list", "a mapping"]),
    "equal keys": (HEAD + "slots: {oil: MO-020, oil: MO-530}\n", 4, ['the key "oil" again']),
    "two documents": (HEAD + "---\n" + HEAD, 4, ["a second document"]),
    "an anchor": (HEAD + "slots: {oil: &o MO-020}\n", 4, ["the anchor &o"]),
    "an alias": (HEAD + "slots: {oil: *o}\n", 4, ["alias"]),
    "a tag": (HEAD + "settings: {preload: !!float 25}\n", 4, ["the tag !!float"]),
    "a date by itself": (HEAD + "as_of: 2026-13-40\n", 4, ["a date"]),
    "a sexagesimal": (HEAD + "settings: {preload: 1:30}\n", 4, ["1:30 without quotes"]),
    "an octal": (HEAD + "settings: {preload: 010}\n", 4, ["010 without quotes"]),
    "an on-off word": (HEAD + "slots: {oil: off}\n", 4, ["off without quotes"]),
    "not a number": (HEAD + "settings: {preload: .nan}\n", 4, [".nan"]),
    "an infinity": (HEAD + "settings: {preload: inf thou}\n", 4, ["a length"]),
    "a huge exponent": (HEAD + "settings: {preload: 1e400 thou}\n", 4, ["beyond any size"]),
    "a decimal comma": (HEAD + 'settings: {preload: "0,25 in"}\n', 4, ["Write decimals with a point."]),
    "no unit": (HEAD + "settings: {preload: 25}\n", 4, ["without a unit"]),
    "another quantity": (HEAD + "settings: {preload: 25 psi}\n", 4, ["a pressure", "a length"]),
    "an impossible value": (HEAD + "settings: {preload: 25 in}\n", 4, ["beyond which nothing is possible"]),
    "an unknown part": (HEAD + "slots: {pushrod: PR-77}\n", 4, ['"PR-77"', "Did you mean PR-7"]),
    "an unknown slot": (HEAD + "slots: {push_rod: PR-7}\n", 4, ["Did you mean pushrod?"]),
    "an unknown family": ("format: 1\nfamily: tarnv8\n", 2, ["Did you mean tarn-v8"]),
    "a misspelt attribute": (
        HEAD + "slots: {oil: {has: {viscosity100: 9 cSt}}}\n",
        4,
        ["Did you mean viscosity_100"],
    ),
    "a misspelt choice": (HEAD + "slots: {rocker: {has: {pivot: bal}}}\n", 4, ["Did you mean ball?"]),
    "a part of another kind": (HEAD + "slots: {lifter: HM-40}\n", 4, ["HM-40 of kind rocker"]),
    "a hidden character": (HEAD + "name: a\u200bb\u0007\n", 4, ["the hidden character U+0007"]),
    "too deep": (HEAD + "slots: " + "[" * 60 + "]" * 60 + "\n", 4, ["levels of nesting"]),
    "a mapping as a key": (HEAD + "slots: {{a: b}: c}\n", 4, ["a mapping or a list as a key"]),
}


@pytest.fixture(scope="module")
def told(library):
    """What is wrong with a build in a file."""

    def faults(path):
        with pytest.raises(DataFaults) as wrong:
            read_build(str(path), library)
        return wrong.value.faults

    return faults


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_build_is_told_by_file_line_what_was_found_and_expected(told, tmp_path, name):
    text, line, parts = BROKEN[name]
    path = tmp_path / "b.yaml"
    path.write_text(text, encoding="utf-8")
    faults = told(path)
    assert {fault.origin.file for fault in faults} == {str(path)}
    assert line in {fault.origin.line for fault in faults}
    for fault in faults:
        assert fault.found
        assert fault.expected
    for part in parts:
        assert any(part in str(fault) for fault in faults)


@pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time
def test_a_folder_of_broken_builds_gives_2_for_each_and_never_crashes(upfeed, tmp_path):
    for number, (text, _, _) in enumerate(BROKEN.values()):
        path = tmp_path / f"{number}.yaml"
        path.write_text(text, encoding="utf-8")
        ended = upfeed("check", path)
        assert (ended.code, ended.out) == (2, b"")
        assert ended.err.startswith(str(path))
        assert "Traceback" not in ended.err


def test_a_folder_of_broken_knowledge_is_told_of_whole(tmp_path, library):
    """The same texts as a layer: every file has its say."""
    for number, (text, _, _) in enumerate(BROKEN.values()):
        (tmp_path / f"{number:02}.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(DataFaults) as wrong:
        load([Layer("shop", tmp_path)], library.vocabulary)
    assert len({fault.origin.file for fault in wrong.value.faults}) == len(BROKEN)


@pytest.mark.parametrize(
    "content",
    [
        b"\xff\xfe\x00",
        b"\xef\xbb\xbfformat: 1\n",
        b"\x00" * 100,
        b"format: 1\nname: \xe9\n",
        b"a" * 5_000_000,
    ],
    ids=["UTF-16", "byte order mark", "zeros", "Latin-1", "5 MB"],
)
@pytest.mark.parametrize("name", ["b.yaml", "b.json"])
def test_bytes_that_are_no_text_are_a_fault(told, tmp_path, content, name):
    path = tmp_path / name
    path.write_bytes(content)
    faults = told(path)
    assert {fault.origin.file for fault in faults} == {str(path)}


def test_a_deep_or_long_json_is_a_fault_not_a_crash(told, tmp_path):
    path = tmp_path / "b.json"
    for text in ("[" * 200_000, '{"a":' * 5_000 + "1" + "}" * 5_000, '{"format": ' + "9" * 100_000 + "}"):
        path.write_text(text)
        assert told(path)


# Every mutation of a build that is whole: what comes of it is an answer or faults, and nothing else.

Pairs = list  # of (key, value), so that a key may stand twice


def pairs(value):
    if isinstance(value, dict):
        return [(key, pairs(below)) for key, below in value.items()]
    return [pairs(item) for item in value] if isinstance(value, list) else value


def is_mapping(value):
    return isinstance(value, list) and bool(value) and all(isinstance(item, tuple) for item in value)


def text_of(value):
    if is_mapping(value):
        return "{" + ", ".join(f"{json.dumps(key)}: {text_of(below)}" for key, below in value) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(text_of, value)) + "]"
    return json.dumps(value)


def places(value, path=()):
    """Every place of a tree, as indexes from the root."""
    yield path
    if isinstance(value, list):
        for index, item in enumerate(value):
            below = item[1] if isinstance(item, tuple) else item
            yield from places(below, (*path, index))


JUNK = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**20), 10**20),
    st.floats(),
    st.text(max_size=12),
    st.sampled_from(
        [
            "",
            " ",
            "1 in",
            "-1 mm",
            "0 mm",
            "1e400 mm",
            "nan in",
            "all",
            "3 intake",
            "BW-118",
            "PR-7",
            "disc",
            "solid",
        ]
    ),
    st.sampled_from(["2027-01-01", "tarn-v8", "dunmere-six", "1e-3 mm", "1 1/2 in", "5/0 in", "µ", "\ud800"]),
    st.just([]),
    st.just([[]]),
    st.just([("part", "BW-121")]),
    st.just([("has", [])]),
    st.just([[("at", "3"), ("part", "BW-121")], [("at", 3), ("part", "BW-121")]]),
)


@st.composite
def mutated(draw, whole):
    tree = pairs(whole)
    for _ in range(draw(st.integers(1, 3))):
        where = draw(st.sampled_from([path for path in places(tree) if path]))
        tree = changed(tree, where, draw(st.sampled_from(["drop", "twice", "junk", "rename"])), draw)
    return tree


def changed(tree, where, how, draw):
    index, *further = where
    item = tree[index]
    if further:
        key, below = item if isinstance(item, tuple) else (None, item)
        new = changed(below, further, how, draw)
        return [*tree[:index], (key, new) if key is not None else new, *tree[index + 1 :]]
    if how == "drop":
        return [*tree[:index], *tree[index + 1 :]]
    if how == "twice":
        return [*tree[: index + 1], item, *tree[index + 1 :]]
    if how == "rename" and isinstance(item, tuple):
        return [*tree[:index], (draw(st.text(max_size=8)), item[1]), *tree[index + 1 :]]
    junk = draw(JUNK)
    return [*tree[:index], (item[0], junk) if isinstance(item, tuple) else junk, *tree[index + 1 :]]


def usable(ask):
    """What comes of a question; None where it can't be asked, with the reasons."""
    try:
        return ask()
    except DataFaults as wrong:
        found = [str(fault) for fault in wrong.faults]
    assert found
    return None


WHOLE = yaml.safe_load((BUILDS / "feed-hole-unknown.yaml").read_text()) | {
    "as_of": "2026-11-01",
    "settings": {"preload": "20 thou"},
    "points": {"hot_idle": {"speed": "700 rpm"}},
    "open": [],
    "accepts": [{"finding": "a@b", "reason": "r", "by": "b", "until": "2027-01-01"}],
}
WHOLE["slots"]["pushrod"] = [{"at": "all", "part": "PR-7"}, {"at": "3 intake", "part": "PR-9"}]


@pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(tree=mutated(WHOLE))
def test_a_mutated_build_gives_an_answer_or_faults_and_nothing_else(library, tmp_path_factory, tree):
    path = tmp_path_factory.getbasetemp() / "mutated.json"
    path.write_text(text_of(tree), encoding="utf-8", errors="surrogatepass")
    answer = usable(lambda: check(read_build(str(path), library), library))
    if answer:
        assert msgspec.json.decode(encode(answer), type=Answer)
        assert Speaker(library.vocabulary).answer(answer)


LIFTERS = yaml.safe_load((TOP / "kb" / "demo" / "lifters.yaml").read_text())
FAMILY = yaml.safe_load((TOP / "kb" / "demo" / "tarn-v8.yaml").read_text())


@pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(tree=st.one_of(mutated(LIFTERS | {"parts": LIFTERS["parts"][:2]}), mutated(FAMILY)))
def test_a_mutated_file_of_knowledge_loads_or_gives_faults_and_nothing_else(sheet_of, tmp_path_factory, tree):
    folder = tmp_path_factory.getbasetemp() / "mutated"
    folder.mkdir(exist_ok=True)
    (folder / "x.yaml").write_text(text_of(tree), encoding="utf-8", errors="surrogatepass")
    known = usable(lambda: open_library(kb=[folder]))
    if known:
        assert encode(check(sheet_of(of=known), known))


@pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time
@settings(max_examples=150, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(
            ["body_diameter", "band_from", "band_to", "notch_area", "seat_inner", "seat_outer", "disc_rise"]
        ),
        st.floats(0, 1),
        min_size=1,
        max_size=3,
    )
)
def test_whatever_is_possible_by_itself_gives_numbers_or_says_that_there_are_none(ask, library, shares):
    """Together it need not be: a lifter may be too large for its bore; a band upside down is refused."""
    kind, has = library.vocabulary.kinds["lifter"], {}
    for name, share in shares.items():
        low, high = kind.attributes[name].possible
        unit = "mm2" if name == "notch_area" else "mm"
        scale = 1e6 if unit == "mm2" else 1e3
        inside = min(
            max((low + share * (high - low)) * scale, low * scale * (1 + 1e-9)), high * scale * (1 - 1e-9)
        )
        has[name] = f"{inside!r} {unit}"
    answer = usable(lambda: ask(slots={"lifter": {"part": "BW-118", "has": has}}))
    for point in answer.points if answer else ():
        for one in getattr(point, "computed", []):
            assert all(
                math.isfinite(x) for x in (one.build, one.reference, one.ratio) if isinstance(x, float)
            )


def test_a_geometry_that_cannot_be_is_refused_where_the_build_says_it(ask):
    with pytest.raises(DataFaults) as wrong:
        ask(slots={"lifter": {"part": "BW-118", "has": {"band_from": "1.25 in"}}})
    (told,) = (str(fault) for fault in wrong.value.faults if "upper edge" in fault.expected)
    assert "/slots/lifter/has/band_from" in told
    assert "band from 1.25 in, band to 1.18 in" in told


def test_a_part_that_cannot_be_does_not_load(tmp_path):
    part = "{part: X-1, kind: lifter, name: n, maker: m, has: {band_from: 1.25 in, band_to: 1.18 in}}"
    (tmp_path / "x.yaml").write_text(f"format: 1\nparts:\n  - {part}\n")
    with pytest.raises(DataFaults, match=r"lifter X-1: found band from 1\.25 in, band to 1\.18 in"):
        open_library(kb=[tmp_path])
