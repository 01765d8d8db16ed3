from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.reading.faults import Fault, Origin
from upfeed.reading.reader import Reader, is_ident
from upfeed.reading.yamltree import read_json, read_yaml


def reader(text: str, path: str = "lifter BW-118", *, clean: bool = True) -> Reader:
    faults: list[Fault] = []
    root = read_yaml(text, "kb/lifters.yaml", "base", faults)
    assert root is not None
    assert not (clean and faults)
    return Reader(root, path, faults)


def told(read: Reader) -> list[tuple[int, str, str, str, str]]:
    return [(f.origin.line, f.path, f.found, f.expected, f.advice) for f in read.faults]


def test_values_of_every_kind() -> None:
    read = reader(
        "name: Disc\nload: 1.50\ncylinders: 8\nneeded: true\nnumbers: [BW-118, '4118']\nhas: {hole: 1 mm}"
    )
    assert read.text("name") == read.optional_text("name") == "Disc"
    assert read.number("load") == 1.5
    assert read.number("cylinders") == 8.0
    assert read.whole("cylinders") == 8
    assert read.flag("needed", default=False) is True
    assert read.words("numbers") == ("BW-118", "4118")
    has = read.mapping("has")
    assert has is not None
    assert (has.path, has.text("hole")) == ("lifter BW-118, has", "1 mm")
    assert read.faults == []


@pytest.mark.parametrize("text", ["{}", "{x: , z: 1}", "{x: null}", "{x: ~}"])
def test_what_is_absent_or_null_is_unknown(text: str) -> None:
    read = reader(text)
    assert read.optional_text("x") is None
    assert read.number("x") is None
    assert read.whole("x") is None
    assert read.one_of("x", ["disc"]) is None
    assert read.mapping("x") is None
    assert read.node("x") is None
    assert read.words("x") == ()
    assert read.mappings("x") == []
    assert read.flag("x", default=True) is True
    assert read.flag("x", default=False) is False
    assert read.text("x", required=False) == ""
    assert read.faults == []


def test_required_text_is_asked_for_where_it_should_stand() -> None:
    read = reader("a: 1\nhas:\n  name:\n")
    has = read.mapping("has")
    assert has is not None
    assert (has.text("name"), has.text("part"), has.ident("id")) == ("", "", "")
    assert told(read) == [
        (3, "lifter BW-118, has, name", "nothing", "text", ""),
        (3, "lifter BW-118, has, part", "nothing", "text", ""),
        (3, "lifter BW-118, has, id", "nothing", "text", ""),
    ]


ACCESS: dict[str, Callable[[Reader], Any]] = {
    "text": lambda read: read.text("x") or None,
    "optional text": lambda read: read.optional_text("x"),
    "ident": lambda read: read.ident("x") or None,
    "number": lambda read: read.number("x"),
    "whole": lambda read: read.whole("x"),
    "one of": lambda read: read.one_of("x", ["disc", "blind"]),
    "words": lambda read: read.words("x") or None,
    "mapping": lambda read: read.mapping("x"),
    "mappings": lambda read: read.mappings("x") or None,
    "flag": lambda read: True if read.flag("x", default=False) else None,
}


@pytest.mark.parametrize(
    ("access", "value", "found", "expected"),
    [
        ("text", "4118", "the number 4118", "text"),
        ("text", "true", "the boolean true", "text"),
        ("text", "[a]", "a list", "text"),
        ("text", "{a: b}", "a mapping", "text"),
        ("text", "''", "empty text", "text"),
        ("optional text", "' '", "empty text", "text"),
        ("ident", "a b", '"a b"', "an id of letters"),
        ("number", "0.052 in", 'the text "0.052 in"', "a number"),
        ("number", "'5'", 'the text "5"', "a number"),
        ("number", "9" * 400, '"999', "a number of a possible size"),
        ("number", "1.0e+400", '"1.0e+400"', "a number of a possible size"),
        ("whole", "8.0", '"8.0"', "a whole number of at least 0"),
        ("whole", "-1", '"-1"', "a whole number of at least 0"),
        ("whole", "9" * 5000, '"999', "a whole number of at least 0"),
        ("whole", "eight", 'the text "eight"', "a whole number"),
        ("one of", "dics", '"dics"', "disc or blind"),
        ("one of", "8", "the number 8", "text"),
        ("words", "disc", 'the text "disc"', "a list"),
        ("words", "[[a]]", "a list", "text"),
        ("words", "[8]", "the number 8", "text"),
        ("words", "['']", 'the text ""', "text"),
        ("words", "[null]", "nothing", "text"),
        ("mapping", "disc", 'the text "disc"', "a mapping"),
        ("mapping", "[{a: b}]", "a list", "a mapping"),
        ("mappings", "{a: b}", "a mapping", "a list"),
        ("flag", "'true'", 'the text "true"', "true or false"),
        ("flag", "1", "the number 1", "true or false"),
    ],
)
def test_what_does_not_fit_is_one_fault_and_no_value(
    access: str, value: str, found: str, expected: str
) -> None:
    read = reader(f"a: b\nx: {value}\n")
    assert ACCESS[access](read) is None
    assert len(read.faults) == 1
    fault = read.faults[0]
    assert (fault.origin, fault.path) == (Origin("base", "kb/lifters.yaml", 2), "lifter BW-118, x")
    assert fault.found.startswith(found)
    assert fault.expected.startswith(expected)


@pytest.mark.parametrize("access", list(ACCESS))
def test_what_has_its_fault_from_parsing_gets_no_second(access: str) -> None:
    for value in ("off", "010", "*gone"):
        read = reader(f"x: {value}", clean=False)
        before = len(read.faults)
        assert ACCESS[access](read) is None
        assert len(read.faults) == before == 1


def test_refused_values_in_lists_get_no_second_fault() -> None:
    read = reader("x: [a, off, {b: c}]\nz: 010", clean=False)
    assert read.words("x") == ("a",)
    assert [fault.found for fault in read.faults] == ["off without quotes", "010 without quotes", "a mapping"]
    assert len(read.mappings("x")) == 3
    assert [fault.found for fault in read.faults[3:]] == ['the text "a"']


def test_numbers_for_text_are_told_to_be_quoted() -> None:
    read = reader("part: 4118\nnumbers: [4118]")
    read.text("part")
    read.words("numbers")
    assert [fault.advice for fault in read.faults] == ['Put it in quotes: "4118".'] * 2


def test_misspelt_choices_and_keys_are_met_with_the_nearest() -> None:
    read = reader("kind: liftr\nnmae: x\nzzz: w\n")
    assert read.one_of("kind", ["lifter", "rocker"]) is None
    read.only("kind", "name")
    assert told(read) == [
        (1, "lifter BW-118, kind", '"liftr"', "lifter or rocker", "Did you mean lifter?"),
        (2, "lifter BW-118, nmae", 'the unknown key "nmae"', "kind or name as a key", "Did you mean name?"),
        (3, "lifter BW-118, zzz", 'the unknown key "zzz"', "kind or name as a key", ""),
    ]


def test_where_no_key_is_known_every_key_is_a_fault() -> None:
    read = reader("a: 1")
    read.only()
    assert [fault.expected for fault in read.faults] == ["no keys"]


@pytest.mark.parametrize("text", ["[a]", "a", "8"])
def test_what_is_no_mapping_reads_as_an_empty_one(text: str) -> None:
    read = reader(text)
    assert [fault.expected for fault in read.faults] == ["a mapping"]
    assert list(read.items()) == []
    read.only("a")
    assert read.number("a") is None
    assert len(read.faults) == 1


def test_lists_of_mappings_are_numbered_until_they_have_names() -> None:
    read = reader("parts:\n  - {part: BW-1}\n  - BW-2\n  - part: x y\n", path="")
    first, second, third = read.mappings("parts")
    assert [(first.path, first.ident("part"))] == [("parts 1", "BW-1")]
    assert list(second.items()) == []
    third.path = "lifter x y"
    third.ident("part")
    assert [(fault.origin.line, fault.path) for fault in read.faults] == [
        (3, "parts 2"),
        (4, "lifter x y, part"),
    ]


def test_keys_come_in_the_order_written_with_their_places() -> None:
    read = reader("b: 1\na:\n  - 2\n")
    assert [(key, origin.line, node.origin.line) for key, node, origin in read.items()] == [
        ("b", 1, 1),
        ("a", 2, 3),
    ]
    assert (read.origin().line, read.origin("a").line, read.origin("none").line) == (1, 2, 1)


def test_each_value_that_has_to_be_a_mapping() -> None:
    read = reader("hole: {quantity: length}\nband: 3\nwall:\n", path="attributes")
    assert [(key, below.path, below.optional_text("quantity")) for key, below in read.each()] == [
        ("hole", "attributes, hole", "length"),
        ("band", "attributes, band", None),
        ("wall", "attributes, wall", None),
    ]
    assert [(fault.path, fault.found) for fault in read.faults] == [
        ("attributes, band", "the number 3"),
        ("attributes, wall", "nothing"),
    ]


@pytest.mark.parametrize(
    ("text", "right", "found", "expected"),
    [
        ("format: 1", True, None, None),
        ("a: b", False, "nothing", "format: 1"),
        ("format:", False, "nothing", "format: 1"),
        ("format: 2", False, "format 2", "format 1, which this program reads"),
        ("format: 0", False, "format 0", "format 1, which this program reads"),
        ("format: '1'", False, 'the text "1"', "a whole number"),
        ("format: 1.0", False, '"1.0"', "a whole number of at least 0"),
    ],
)
def test_the_format_is_checked(text: str, right: bool, found: str | None, expected: str | None) -> None:
    read = reader(text, path="")
    assert read.format() is right
    assert [(fault.found, fault.expected) for fault in read.faults] == (
        [] if found is None else [(found, expected)]
    )


def test_a_newer_format_is_told_to_be_newer() -> None:
    read = reader("format: 2")
    read.format()
    assert read.faults[0].advice == "A newer upfeed reads it."


@pytest.mark.parametrize("ident", ["a", "BW-118", "4118", "tarn-v8", "a" * 80])
def test_ids(ident: str) -> None:
    assert is_ident(ident)


@pytest.mark.parametrize(
    "ident", ["", "-a", "a-", "a--b", "a b", "a_b", "a.b", "a/b", "é", "\u0664", "a\n", "a" * 81]
)
def test_no_ids(ident: str) -> None:
    assert not is_ident(ident)


def test_values_of_json_are_told_by_their_pointers() -> None:
    faults: list[Fault] = []
    root = read_json('{"slots": {"lifter": 7}}', faults)
    assert root is not None
    slots = Reader(root, "", faults).mapping("slots")
    assert slots is not None
    slots.text("lifter")
    assert [str(fault) for fault in faults] == [
        'at /slots/lifter, slots, lifter: found the number 7; expected text. Put it in quotes: "7".'
    ]


NODES = st.recursive(
    st.sampled_from(["a", "8", "-1.5", "true", "null", "off", "010", "''", "*x", "&x b", "!!str c"]),
    lambda below: (
        st.lists(below, max_size=3).map(lambda items: f"[{', '.join(items)}]")
        | st.lists(st.tuples(st.sampled_from("abx"), below), max_size=3).map(
            lambda pairs: "{" + ", ".join(f"{key}: {value}" for key, value in pairs) + "}"
        )
    ),
    max_leaves=8,
)


@given(NODES, st.sampled_from(sorted(ACCESS)))
def test_no_access_ever_raises(text: str, access: str) -> None:
    faults: list[Fault] = []
    root = read_yaml(f"{{x: {text}}}", "a.yaml", "base", faults)
    assert root is not None
    ACCESS[access](Reader(root, "", faults))
    assert all(str(fault).isprintable() for fault in faults)
