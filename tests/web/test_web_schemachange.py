"""Schemas held against one another, by kind of change and, at random, by an independent validator."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from upfeed.web.schemachange import SchemaChanges


def changes(
    old: Any, new: Any, direction: Any, schemas: Any = None, later: Any = None
) -> list[tuple[bool, str]]:
    documents = [{"components": {"schemas": s or {}}} for s in (schemas, later or schemas)]
    found = SchemaChanges(*documents, direction).between(old, new, "x")
    return [(change.breaks, str(change)) for change in found]


def record(*required: str, more: Any = False, **fields: Any) -> dict[str, Any]:
    needed = {"required": list(required)} if required else {}
    return {"type": "object", "properties": fields, **needed, "additionalProperties": more}


TEXT, NUMBER, WHOLE, NULL = ({"type": name} for name in ("string", "number", "integer", "null"))
AB, ABC = ({"type": "string", "enum": list(words)} for words in ("ab", "abc"))


def any_of(*schemas: Any) -> dict[str, Any]:
    return {"anyOf": list(schemas)}


# What changes; what is said where it is sent; what is said where it is told (nothing: None; breaks: with "!").
KINDS = {
    "nothing": (TEXT, TEXT, None, None),
    "words about it": (TEXT, TEXT | {"description": "d", "title": "t", "examples": ["e"]}, None, None),
    "another type": (TEXT, NUMBER, "!x: is number, was string", "!x: is number, was string"),
    "a wider type": (WHOLE, NUMBER, None, "!x: is number, was integer"),
    "a narrower type": (NUMBER, WHOLE, "!x: is integer, was number", None),
    "null as well": (TEXT, any_of(TEXT, NULL), "x: may be null", "!x: may be null now"),
    "null no more": (any_of(TEXT, NULL), TEXT, "!x: can be null no longer", None),
    "types as a list": (any_of(TEXT, NULL), {"type": ["string", "null"]}, None, None),
    "any type": (TEXT, {}, None, "!x: is anything, was string"),
    "a word more": (AB, ABC, "x: takes c", "!x: may be c now"),
    "a word less": (ABC, AB, "!x: c is gone", "!x: c is gone"),
    "a few words": (TEXT, AB, "!x: is one of a few now", None),
    "any words": (AB, TEXT, None, "!x: is one of a few no longer"),
    "a higher least": ({"minimum": 1}, {"minimum": 2}, "!x, minimum: is 2, was 1", None),
    "a lower least": ({"minimum": 2}, {"minimum": 1}, "x, minimum: is 1, was 2", "!x, minimum: is 1, was 2"),
    "a new most": ({}, {"maxLength": 9}, "!x, maxLength: is 9, was none", None),
    "no most": ({"maxLength": 9}, {}, "x, maxLength: is none, was 9", "!x, maxLength: is none, was 9"),
    "a lower most": ({"maximum": 2}, {"maximum": 1}, "!x, maximum: is 1, was 2", None),
    "a pattern": (TEXT, TEXT | {"pattern": "a"}, "!x, pattern: is another", None),
    "no pattern": (TEXT | {"pattern": "a"}, TEXT, None, "!x, pattern: is another"),
    "another pattern": (
        {"pattern": "a"},
        {"pattern": "b"},
        "!x, pattern: is another",
        "!x, pattern: is another",
    ),
    "a format": (TEXT, TEXT | {"format": "date"}, "!x, format: is another", None),
    "what nobody judges": ({"not": TEXT}, {"not": NUMBER}, "!x, not: is another", "!x, not: is another"),
    "another default": ({"default": 1}, {"default": 2}, "!x: left out, it is 2, was 1", None),
    "a field more": (record(a=TEXT), record(a=TEXT, b=TEXT), "x.b: is new", "x.b: is new"),
    "a field more that is always there": (
        record("a", a=TEXT),
        record("a", "b", a=TEXT, b=TEXT),
        "!x.b: has to be given now",
        "x.b: is new",
    ),
    "a field less": (record(a=TEXT, b=TEXT), record(a=TEXT), "!x.b: is gone", "!x.b: is gone"),
    "a field that is always there less": (record("a", a=TEXT), record(), "!x.a: is gone", "!x.a: is gone"),
    "a field needed": (record(a=TEXT), record("a", a=TEXT), "!x.a: has to be given now", None),
    "a field not needed": (record("a", a=TEXT), record(a=TEXT), None, "!x.a: may be left out now"),
    "a field of another type": (
        record(a=TEXT),
        record(a=NUMBER),
        "!x.a: is number, was string",
        "!x.a: is number, was string",
    ),
    "no other fields": (record(more=True), record(), "!x: takes no other fields now", None),
    "other fields of a type": (record(more=True), record(more=TEXT), "!x.*: is string, was anything", None),
    "other fields of another type": (
        record(more=TEXT),
        record(more=NUMBER),
        "!x.*: is number, was string",
        "!x.*: is number, was string",
    ),
    "a name for what any field might be": (
        record(more=True),
        record(more=True, a=TEXT),
        "!x.a: is string, was anything",
        "x.a: is new",
    ),
    "items of another type": (
        {"type": "array", "items": TEXT},
        {"type": "array", "items": NUMBER},
        "!x[]: is number, was string",
        "!x[]: is number, was string",
    ),
    "items of any type": ({"items": TEXT}, {}, None, "!x[]: is anything, was string"),
    "the first items otherwise": (
        {"prefixItems": [TEXT]},
        {"prefixItems": [NUMBER]},
        "!x[0]: is number, was string",
        "!x[0]: is number, was string",
    ),
    "a kind more": (
        any_of(record("a", a=TEXT), TEXT),
        any_of(record("a", a=TEXT), TEXT, NUMBER),
        "x: may be number",
        "!x: may be number now",
    ),
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("direction", ["sent", "told"])
def test_every_kind_of_change_is_told_and_judged(kind: str, direction: str) -> None:
    old, new, sent, told = KINDS[kind]
    expected = sent if direction == "sent" else told
    found = changes(old, new, direction)
    if expected is None:
        assert found == []
    else:
        assert (expected.startswith("!"), expected.lstrip("!")) in found
        assert any(breaks for breaks, _ in found) == expected.startswith("!")


def test_a_component_is_told_by_its_name_and_once() -> None:
    ref = {"$ref": "#/components/schemas/Part"}
    both = record(one=ref, other={"type": "array", "items": ref})
    found = changes(both, both, "told", {"Part": record(a=TEXT, b=TEXT)}, {"Part": record(a=TEXT)})
    assert found == [(True, "Part.b: is gone")]


def test_components_that_hold_themselves_are_gone_through_once() -> None:
    ref = {"$ref": "#/components/schemas/Tree"}
    trees = [
        {"Tree": record(below=any_of({"type": "array", "items": ref}, NULL), leaf=s)} for s in (TEXT, NUMBER)
    ]
    assert changes(ref, ref, "sent", trees[0], trees[0]) == []
    assert changes(ref, ref, "sent", *trees) == [(True, "Tree.leaf: is number, was string")]


def test_of_several_objects_those_of_one_name_are_held_against_one_another() -> None:
    def points(*fields: str) -> Any:
        more = dict.fromkeys(fields, TEXT)
        return {"Solved": record("state", state={"enum": ["solved"]}, **more), "Failed": record(reason=TEXT)}

    union = any_of({"$ref": "#/components/schemas/Failed"}, {"$ref": "#/components/schemas/Solved"})
    found = changes(union, union, "told", points("a", "b", "c"), points("d"))
    assert {text.partition(":")[0] for _, text in found} == {"Solved.a", "Solved.b", "Solved.c", "Solved.d"}


SCALARS = [None, True, *range(-3, 4), 0.5, 2.5, "", "a", "b", "ab", "abc"]
FEW = [None, 1, "a", [], [2], {}, {"p": "b"}]
VALUES = [
    *SCALARS,
    *([value] for value in SCALARS + FEW),
    *([one, other] for one in FEW for other in FEW[:3]),
    *({name: value} for name in "pqr" for value in SCALARS + FEW),
    *({"p": one, "q": other} for one in FEW for other in FEW),
    {},
    [],
    ["a", "b", "ab"],
]
BOUNDS = st.fixed_dictionaries(
    {},
    optional={
        "minimum": st.integers(-2, 2),
        "maximum": st.integers(-2, 2),
        "minLength": st.integers(0, 2),
        "maxLength": st.integers(0, 3),
        "pattern": st.sampled_from(["a", "^b"]),
        "minItems": st.integers(0, 2),
        "maxItems": st.integers(0, 3),
    },
).map(lambda bounds: dict(list(bounds.items())[:2]))
PLAIN = st.builds(
    lambda type_, bounds: ({"type": type_} if type_ else {}) | bounds,
    st.sampled_from(["string", "number", "integer", "null", "boolean", ""]) | st.just(["string", "null"]),
    BOUNDS,
) | st.builds(
    lambda words: {"enum": words}, st.lists(st.sampled_from(["a", "b", "ab"]), min_size=1, unique=True)
)


def _record(fields: Any, required: Any, more: Any) -> Any:
    return record(*sorted(required & fields.keys()), more=more, **fields)


def _nested(inner: Any) -> Any:
    records = st.builds(
        _record,
        st.dictionaries(st.sampled_from("pq"), inner, max_size=2),
        st.sets(st.sampled_from("pq")),
        st.booleans() | inner,
    )
    arrays = st.builds(lambda items, bounds: {"type": "array", "items": items} | bounds, inner, BOUNDS)
    tuples = st.builds(
        lambda first, rest: {"prefixItems": first, "items": rest}, st.lists(inner, max_size=2), inner
    )
    unions = st.lists(inner, min_size=1, max_size=3).map(lambda alternatives: {"anyOf": alternatives})
    both = st.builds(lambda union, plain: union | plain, unions, PLAIN)
    return records | arrays | tuples | unions | both


SCHEMAS = st.recursive(PLAIN, _nested, max_leaves=5)


def opened(schema: Any) -> Any:
    """The schema as a reader has it who passes over fields that he does not know."""
    if isinstance(schema, list):
        return [opened(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    return {
        key: opened(value)
        for key, value in schema.items()
        if not (key == "additionalProperties" and value is False)
    }


@st.composite
def varied(draw: Any, schema: Any) -> Any:
    """A schema much like another: here and there a keyword more or less, a word, a field, null."""
    if not isinstance(schema, dict):
        return schema
    edit = draw(st.sampled_from(["keep", "keep", "drop", "bound", "null", "other"]))
    if edit == "other":
        return draw(PLAIN)
    kept = {key: draw(_varied_below(key, value)) for key, value in schema.items()}
    if edit == "drop" and kept:
        del kept[draw(st.sampled_from(sorted(kept)))]
    if edit == "bound":
        kept |= draw(BOUNDS)
    return {"anyOf": [kept, {"type": "null"}]} if edit == "null" else kept


def _varied_below(key: str, value: Any) -> Any:
    if key == "properties":
        return st.fixed_dictionaries({name: varied(below) for name, below in value.items()})
    if key in ("anyOf", "prefixItems"):
        return st.tuples(*map(varied, value)).map(list)
    if key in ("items", "additionalProperties"):
        return varied(value)
    if key in ("required", "enum"):
        return st.lists(st.sampled_from(value), min_size=1, unique=True) if value else st.just(value)
    return st.just(value)


PAIRS = SCHEMAS.flatmap(lambda old: st.tuples(st.just(old), varied(old)))


@pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time
@given(pair=PAIRS)
@settings(max_examples=400, derandomize=True, database=None, deadline=None)
def test_what_is_said_to_be_taken_as_before_is(pair: Any) -> None:
    for old, new in (pair, pair[::-1]):
        if old != new and not any(breaks for breaks, _ in changes(old, new, "sent")):
            before, after = Draft202012Validator(old), Draft202012Validator(new)
            assert [value for value in VALUES if before.is_valid(value) and not after.is_valid(value)] == []


@pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time
@given(pair=PAIRS)
@settings(max_examples=400, derandomize=True, database=None, deadline=None)
def test_what_is_said_to_be_told_as_before_is(pair: Any) -> None:
    for old, new in (pair, pair[::-1]):
        if old != new and not any(breaks for breaks, _ in changes(old, new, "told")):
            before, after = Draft202012Validator(opened(old)), Draft202012Validator(new)
            assert [value for value in VALUES if after.is_valid(value) and not before.is_valid(value)] == []


@given(schema=SCHEMAS, direction=st.sampled_from(["sent", "told"]))
@settings(max_examples=300, derandomize=True, database=None, deadline=None)
def test_nothing_changes_from_a_schema_to_itself(schema: Any, direction: str) -> None:
    assert changes(schema, schema, direction) == []
