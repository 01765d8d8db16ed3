import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.reading.faults import Fault, Origin
from upfeed.reading.yamltree import Mapping, Node, Scalar, Sequence, read_json


def read(text: str | bytes, pointer: str = "") -> tuple[Node | None, list[Fault]]:
    faults: list[Fault] = []
    return read_json(text, faults, pointer), faults


def one_fault(text: str | bytes) -> Fault:
    faults = read(text)[1]
    assert len(faults) == 1, faults
    return faults[0]


def plain(node: Node | None) -> Any:
    if isinstance(node, Mapping):
        return {key: plain(below) for key, below in node.entries.items()}
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    assert isinstance(node, Scalar)
    if node.form == "number":
        return float(node.text)
    return {"null": None, "boolean": node.text == "true"}.get(node.form, node.text)


def test_forms_of_scalars() -> None:
    root, faults = read(b'["off", 1.50, -3, 1e-3, true, false, null, "null", ""]')
    assert isinstance(root, Sequence)
    assert faults == []
    assert [(item.text, item.form) for item in root.items if isinstance(item, Scalar)] == [
        ("off", "text"),
        ("1.50", "number"),
        ("-3", "number"),
        ("1e-3", "number"),
        ("true", "boolean"),
        ("false", "boolean"),
        ("null", "null"),
        ("null", "text"),
        ("", "text"),
    ]


# RFC 6901, section 5, gives these keys and their pointers.
@pytest.mark.parametrize(
    ("key", "pointer"),
    [
        ("foo", "/foo"),
        ("", "/"),
        ("a/b", "/a~1b"),
        ("c%d", "/c%d"),
        ("m~n", "/m~0n"),
        (" ", "/ "),
        ('k"l', '/k"l'),
    ],
)
def test_pointers_are_escaped_as_the_standard_says(key: str, pointer: str) -> None:
    root, _ = read(json.dumps({key: [0, 1]}))
    assert isinstance(root, Mapping)
    assert root.keys[key] == Origin(pointer=pointer)
    below = root.entries[key]
    assert isinstance(below, Sequence)
    assert [item.origin.pointer for item in below.items] == [f"{pointer}/0", f"{pointer}/1"]


def test_pointers_begin_where_the_caller_says() -> None:
    root, _ = read('{"a": 1}', "/builds/3")
    assert isinstance(root, Mapping)
    assert root.origin.pointer == "/builds/3"
    assert root.keys["a"].pointer == "/builds/3/a"
    assert read("{", "/builds/3")[1][0].origin.pointer == "/builds/3"


@pytest.mark.parametrize(
    "text",
    ["", " ", "{", "[1,]", "{} {}", "{'a': 1}", "nul", "01", "+1", ".5", "1.", '"\t"', '"\\x"', "// a\n1"],
)
def test_what_is_no_json_is_told_with_its_line(text: str) -> None:
    root, faults = read(text)
    assert root is None
    assert [fault.expected for fault in faults] == ["JSON"]
    assert "line " in faults[0].found


@pytest.mark.parametrize("constant", ["NaN", "Infinity", "-Infinity"])
def test_what_is_no_number_is_refused(constant: str) -> None:
    fault = one_fault(f'{{"a": [1, {constant}]}}')
    assert (fault.origin.pointer, fault.found) == ("/a/1", constant)


def test_equal_keys_are_refused() -> None:
    root, faults = read('{"b": {"a": 1, "\\u0061": 2}, "a": 3}')
    assert [(fault.origin.pointer, fault.found) for fault in faults] == [("/b", 'the key "a" again')]
    assert plain(root) == {"b": {"a": 1}, "a": 3}


@pytest.mark.parametrize("escape", [r"\u0000", r"\u001b", r"\ud800", r"\udc00\ud800", r"\ufeff", r"\u2028"])
def test_hidden_characters_and_half_characters_are_refused(escape: str) -> None:
    assert one_fault(f'{{"a": "x{escape}"}}').origin.pointer == "/a"
    root, faults = read(f'{{"x{escape}": 1, "b": 2}}')
    assert [fault.origin.pointer for fault in faults] == [""]
    assert plain(root) == {"b": 2}


def test_whole_characters_from_pairs_are_kept() -> None:
    root, faults = read(r'"\ud83d\ude00\n\t"')
    assert (plain(root), faults) == ("\U0001f600\n\t", [])


@pytest.mark.parametrize(("opened", "closed"), [("[", "]"), ('{"a":', "}")])
def test_nesting_ends_at_forty_levels(opened: str, closed: str) -> None:
    assert read(opened * 40 + "1" + closed * 40)[1] == []
    assert "40 levels" in one_fault(opened * 41 + "1" + closed * 41).found
    assert "40 levels" in one_fault(opened * 200_000 + "1" + closed * 200_000).found


def test_a_number_of_any_length_is_read() -> None:
    root, faults = read("1" * 100_000)
    assert isinstance(root, Scalar)
    assert (len(root.text), root.form, faults) == (100_000, "number", [])


def test_all_faults_are_told_at_once() -> None:
    faults = read('{"a": NaN, "a": 1, "b": "\\u0000", "c": [Infinity]}')[1]
    assert sorted(fault.origin.pointer for fault in faults) == ["", "/a", "/b", "/c/0"]


VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cc", "Cs", "Cn", "Zl", "Zp"], exclude_characters="\ufeff")),
    lambda below: st.lists(below) | st.dictionaries(st.text("abc~/é"), below),
    max_leaves=30,
)


@given(VALUES, st.booleans())
def test_what_another_program_writes_is_read_alike(value: Any, escaped: bool) -> None:
    root, faults = read(json.dumps(value, ensure_ascii=escaped))
    assert faults == []
    assert plain(root) == value


JSONISH = st.lists(
    st.sampled_from(
        [*'{}[],:"\\01.-eEuntf \n', '"a":', "true", "null", "NaN", "\\ud800", "\x00", "\ud800", "\ufeff"]
    )
).map("".join)


@given(st.binary() | st.text() | JSONISH)
def test_nothing_ever_raises(text: str | bytes) -> None:
    root, faults = read(text)
    assert (root is not None) or faults
    for fault in faults:
        assert str(fault).encode()
