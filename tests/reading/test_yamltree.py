from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from upfeed.reading import yamltree
from upfeed.reading.faults import Fault, Origin
from upfeed.reading.yamltree import Mapping, Node, Scalar, Sequence, read_yaml

LOADERS = [yaml.SafeLoader, *([yaml.CSafeLoader] if yaml.__with_libyaml__ else [])]


@pytest.fixture(params=LOADERS, ids=lambda loader: loader.__name__, autouse=True)
def loader(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(yamltree, "LOADER", request.param)


def read(text: str | bytes) -> tuple[Node | None, list[Fault]]:
    faults: list[Fault] = []
    return read_yaml(text, "kb/lifters.yaml", "base", faults), faults


def one_fault(text: str | bytes) -> Fault:
    faults = read(text)[1]
    assert len(faults) == 1, faults
    return faults[0]


def plain(node: Node | None) -> Any:
    if isinstance(node, Mapping):
        assert list(node.keys) == list(node.entries)
        return {key: plain(below) for key, below in node.entries.items()}
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    assert isinstance(node, Scalar)
    return {"null": None, "boolean": node.text == "true"}.get(node.form, node.text)


def test_forms_of_scalars() -> None:
    text = "[disc, 'off', \"010\", 2026-11-01, 0.052 in, 1.50, -3, true, null, ~, ]"
    root, faults = read(text)
    assert isinstance(root, Sequence)
    assert faults == []
    assert [(item.text, item.form) for item in root.items if isinstance(item, Scalar)] == [
        ("disc", "text"),
        ("off", "text"),
        ("010", "text"),
        ("2026-11-01", "text"),
        ("0.052 in", "text"),
        ("1.50", "number"),
        ("-3", "number"),
        ("true", "boolean"),
        ("null", "null"),
        ("~", "null"),
    ]


def test_an_absent_value_is_null() -> None:
    root, faults = read("feed_hole:\nband: x")
    assert plain(root) == {"feed_hole": None, "band": "x"}
    assert faults == []


def test_block_scalars_are_text() -> None:
    root, faults = read("why: >-\n  a wide band\n  feeds longer\nload: |\n  010\n")
    assert plain(root) == {"why": "a wide band feeds longer", "load": "010\n"}
    assert faults == []


def test_every_value_knows_its_line() -> None:
    root, _ = read("format: 1\nparts:\n  - part: BW-118\n    has:\n      feed_hole: 0.052 in\n")
    assert isinstance(root, Mapping)
    parts = root.entries["parts"]
    assert isinstance(parts, Sequence)
    part = parts.items[0]
    assert isinstance(part, Mapping)
    has = part.entries["has"]
    assert isinstance(has, Mapping)
    assert [root.origin.line, root.keys["parts"].line, parts.origin.line, part.origin.line] == [1, 2, 3, 3]
    assert part.keys["has"].line == 4
    assert has.keys["feed_hole"] == has.entries["feed_hole"].origin == Origin("base", "kb/lifters.yaml", 5)


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_lines_are_counted_as_an_editor_does(end: str) -> None:
    assert one_fault(end.join(["a: 1", "# µ", "b: 'two", "  lines'", "c: off"])).origin.line == 5


WORDS = ["off", "On", "YES", "no", "y", "N", "="]
TRAPS = [*WORDS, "1:30", "010", "1e-3", ".inf", "-.INF", ".nan", ".NaN", "1_000", "0x10", "0b1"]


@pytest.mark.parametrize("value", TRAPS)
def test_values_that_readers_disagree_on_are_refused(value: str) -> None:
    fault = one_fault(f"a: 1\nparts:\n  - {{x: 1}}\n  - name: {value}\n")
    assert fault.origin == Origin("base", "kb/lifters.yaml", 4)
    assert fault.path == "parts 2, name"
    assert fault.found == f"{value} without quotes"
    assert f'"{value}" as text' in fault.advice


@pytest.mark.parametrize("value", TRAPS)
def test_in_quotes_they_are_text(value: str) -> None:
    root, faults = read(f"a: '{value}'\n'{value}': b")
    assert plain(root) == {"a": value, value: "b"}
    assert faults == []


@pytest.mark.parametrize("value", [*TRAPS, "<<"])
def test_as_keys_they_are_refused_with_their_values(value: str) -> None:
    root, faults = read(f"a: b\n{value}: {{c: d}}\ne: f")
    assert [(fault.origin.line, fault.found) for fault in faults] == [(2, f"{value} without quotes")]
    assert plain(root) == {"a": "b", "e": "f"}


@pytest.mark.parametrize("key", ["true", "~", "null", "? "])
def test_keys_are_words(key: str) -> None:
    root, faults = read(f"a: b\n{key}\n: c\n" if "?" in key else f"a: b\n{key}: c\n")
    assert [(fault.origin.line, fault.expected) for fault in faults] == [(2, "a word as a key")]
    assert plain(root) == {"a": "b"}


@pytest.mark.parametrize("key", ["[b, c]", "{b: c}", "? - b\n"])
def test_collections_are_no_keys(key: str) -> None:
    root, faults = read(f"a: 1\n{key}: [d, e]\nf: g\n")
    assert [(fault.origin.line, fault.found) for fault in faults] == [(2, "a mapping or a list as a key")]
    assert plain(root) == {"a": "1", "f": "g"}


def test_equal_keys_are_told_with_the_line_of_the_first() -> None:
    root, faults = read("a: 1\nhas:\n  hole: x\n  band: w\n  'hole': {z: off}\n")
    assert [(fault.origin.line, fault.path, fault.found) for fault in faults] == [
        (5, "has", 'the key "hole" again'),
        (5, "has, z", "off without quotes"),
    ]
    assert "line 3" in faults[0].expected
    assert plain(root) == {"a": "1", "has": {"hole": "x", "band": "w"}}


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("a: &x 1", ["the anchor &x"]),
        ("a: &x [1]", ["the anchor &x"]),
        ("&x a: 1", ["the anchor &x"]),
        ("a: &x 1\nb: *x", ["the anchor &x", "the alias *x"]),
        ("a: &x b\n*x : 1", ["the anchor &x", "the alias *x"]),
        ("a: *nowhere", ["the alias *nowhere"]),
        ("a: !!str 1", ["the tag !!str"]),
        ("a: !!python/object:os.system {}", ["the tag !!python/object:os.system"]),
        ("!own {a: 1}", ["the tag !own"]),
        ("a: ! x", ["the tag !"]),
    ],
)
def test_anchors_aliases_and_tags_are_refused(text: str, found: list[str]) -> None:
    assert [fault.found for fault in read(text)[1]] == found


@pytest.mark.parametrize("text", ["", "\n", "# only a remark\n", "---\n", "~", "null"])
def test_an_empty_document_is_refused(text: str) -> None:
    assert one_fault(text).found == "an empty document"


@pytest.mark.parametrize("text", ["a: 1\n---\nb: 2\n", "--- a\n--- b\n", "---\n---\n", "a: 1\n---\n"])
def test_a_second_document_is_refused(text: str) -> None:
    assert one_fault(text).found == "a second document"


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("a: [1\n", 2),
        ("a: 1\nb: c: d\n", 2),
        ("a:\n\t- b\n", 2),
        ("a: 'x\n", 2),
        ("a: @x\n", 1),
        ('a: "\\q"', 1),
    ],
)
def test_what_is_no_yaml_is_told_with_its_line(text: str, line: int) -> None:
    root, faults = read(text)
    assert root is None
    assert [fault.expected for fault in faults] == ["YAML"]
    assert faults[0].origin.line == line


@pytest.mark.parametrize("escape", [r"\0", r"\a", r"\x1b", r"\x7f", r"\N", r"\L", r"\uFEFF"])
def test_hidden_characters_cannot_be_escaped_in(escape: str) -> None:
    assert "hidden characters" in one_fault(f'a: "x{escape}"').found
    assert plain(read(f'"x{escape}": 1\nb: c')[0]) == {"b": "c"}


@pytest.mark.parametrize("escape", [r"\ud800", r"\U00110000", r"\UFFFFFFFF"])
def test_characters_that_do_not_exist_are_refused(escape: str) -> None:
    assert len(read(f'a: "x{escape}"')[1]) == 1


@pytest.mark.parametrize(("opened", "closed"), [("[", "]"), ("{a: ", "}")])
def test_nesting_ends_at_forty_levels(opened: str, closed: str) -> None:
    assert read(opened * 40 + "b" + closed * 40)[1] == []
    assert "40 levels" in one_fault(opened * 41 + "b" + closed * 41).found
    assert "nesting" in one_fault(opened * 50_000).found  # libyaml has a limit of its own


def test_all_faults_of_a_file_are_told_at_once() -> None:
    faults = read("a: off\nb: &x 1\na: 010\nc: [1_0, {d: .nan}]\n")[1]
    assert [fault.origin.line for fault in faults] == [1, 2, 3, 3, 4, 4]


VALUES = st.recursive(
    st.none() | st.booleans() | st.text(st.characters(codec="ascii", exclude_categories=["Cc"]), max_size=12),
    lambda below: (
        st.lists(below, max_size=4) | st.dictionaries(st.text("abcno_01", min_size=1), below, max_size=4)
    ),
    max_leaves=20,
)


@given(st.dictionaries(st.text("abc-_", min_size=1), VALUES, min_size=1), st.booleans())
def test_what_another_program_writes_is_read_alike(values: dict[str, Any], flow: bool) -> None:
    # PyYAML writes. All texts are quoted, so that nothing is left to a reader's choice.
    class Quoting(yaml.SafeDumper):
        def ignore_aliases(self, data: object) -> bool:
            return True

    Quoting.add_representer(
        str, lambda dumper, text: dumper.represent_scalar("tag:yaml.org,2002:str", text, '"')
    )
    root, faults = read(yaml.dump(values, Dumper=Quoting, default_flow_style=flow, sort_keys=False))
    assert faults == []
    assert plain(root) == values


MARKS = [*"abn01.:-?[]{},&*!|>'\"#%@`~=\\ \n\t", "\n  ", ": ", "- ", "<<", "---\n", "...", "%YAML 1.2\n"]
YAMLISH = st.lists(st.sampled_from([*MARKS, "\x00", "\ufeff", "\x85", "\ud800", "µ"])).map("".join)


@given(st.binary() | st.text() | YAMLISH)
def test_nothing_ever_raises(text: str | bytes) -> None:
    root, faults = read(text)
    assert (root is not None) or faults
    for fault in faults:
        assert str(fault).encode()
