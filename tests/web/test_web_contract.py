"""The contract that lies in openapi/ is this program's, and says of builds what their reader does."""

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from web_asking import BUILDS, LIBRARY, ask, check

from upfeed.reading.units import UnitFault, parse, units_of
from upfeed.reading.yamltree import read_json
from upfeed.web.contract import contract
from upfeed.web.examples import example_builds
from upfeed.web.valueschema import component_name

COMMITTED = Path(__file__).parents[2] / "openapi" / "openapi.json"
CONTRACT: dict[str, Any] = json.loads(contract())
SCHEMAS = CONTRACT["components"]["schemas"]


def as_python_reads(value: Any) -> Any:
    """A schema whose patterns end where ECMA-262 ends them: Python's `$` lets a line's end follow."""
    if isinstance(value, dict):
        return {key: as_python_reads(below) for key, below in value.items()}
    if isinstance(value, list):
        return [as_python_reads(below) for below in value]
    if isinstance(value, str) and value.startswith("^"):
        return value.removesuffix("$") + r"\Z"
    return value


@cache
def validator(name: str) -> Draft202012Validator:
    schemas = {"schemas": as_python_reads(SCHEMAS)}
    return Draft202012Validator({"$ref": f"#/components/schemas/{name}", "components": schemas})


BUILD = validator("Build")


def test_the_committed_contract_is_this_one() -> None:
    assert COMMITTED.read_bytes() == contract()


def test_the_service_sends_it() -> None:
    assert ask("/openapi.json").body == contract()


def test_every_schema_is_one() -> None:
    for schema in SCHEMAS.values():
        Draft202012Validator.check_schema(schema)


def references(value: Any) -> set[str]:
    if isinstance(value, list):
        return set().union(*map(references, value))
    if not isinstance(value, dict):
        return set()
    own = {value["$ref"]} if isinstance(value.get("$ref"), str) else set()
    return own.union(*map(references, value.values()))


def test_references_lead_to_components_and_none_is_left_over() -> None:
    components = CONTRACT["components"]
    assert references(CONTRACT) == {
        f"#/components/{of}/{name}" for of in components for name in components[of]
    }


def test_objects_that_go_out_always_have_all_their_fields() -> None:
    for name in (
        "Answer",
        "Finding",
        "Quantity",
        "Computed",
        "SolvedPoint",
        "Part",
        "Family",
        "Rule",
        "Problem",
    ):
        assert sorted(SCHEMAS[name]["required"]) == sorted(SCHEMAS[name]["properties"]), name
        assert SCHEMAS[name]["additionalProperties"] is False


def test_no_description_keeps_the_indentation_of_its_source() -> None:
    told = [str(schema["description"]) for schema in schemas_in(SCHEMAS) if "description" in schema]
    assert any("\n" in description for description in told)
    assert not [description for description in told if "\n " in description]


def test_unions_are_told_apart_by_a_field() -> None:
    points = SCHEMAS["Answer"]["properties"]["points"]["items"]["discriminator"]
    assert points["propertyName"] == "state"
    assert set(points["mapping"]) == {"solved", "unknown", "failed"}
    written = SCHEMAS["Quantity"]["properties"]["from"]["anyOf"][0]["discriminator"]
    assert written["propertyName"] == "in"
    assert set(written["mapping"]) == {"file", "build"}


def test_operations_are_named_and_described() -> None:
    operations = [operation for path in CONTRACT["paths"].values() for operation in path.values()]
    ids = [operation["operationId"] for operation in operations]
    assert len(set(ids)) == len(ids) == 29
    for operation in operations:
        assert operation["summary"]
        for status, response in operation["responses"].items():
            assert response["description"]
            if int(status) >= 400:
                assert list(response["content"]) == ["application/problem+json"]


def schemas_in(value: Any) -> list[dict[str, Any]]:
    """Every mapping at any depth."""
    if isinstance(value, list):
        return [found for below in value for found in schemas_in(below)]
    if not isinstance(value, dict):
        return []
    return [value, *(found for below in value.values() for found in schemas_in(below))]


def test_generators_of_clients_find_what_they_can_read() -> None:
    for schema in schemas_in(SCHEMAS):
        assert not isinstance(schema.get("items"), bool)
    band = SCHEMAS["Computed"]["properties"]["band"]["anyOf"][0]
    assert band == {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
    assert CONTRACT["security"] == []


def test_sizes_are_described_by_the_vocabulary() -> None:
    hole = SCHEMAS["Sizes"]["properties"]["feed_hole"]
    assert LIBRARY.vocabulary.kinds["lifter"].attributes["feed_hole"].definition in hole["description"]
    assert {"$ref": "#/components/schemas/Length"} in hole["anyOf"]


@pytest.mark.parametrize("path", BUILDS, ids=lambda path: path.stem)
def test_shared_builds_are_builds(path: Path) -> None:
    (build,) = example_builds([path.stem]).values()
    assert list(BUILD.iter_errors(build)) == []


def test_examples_are_shared_builds() -> None:
    body = CONTRACT["paths"]["/v1/checks"]["post"]["requestBody"]["content"]["application/json"]
    assert {name: told["value"] for name, told in body["examples"].items()} == example_builds()
    for told in body["examples"].values():
        assert BUILD.is_valid(told["value"])


# Texts near what a shop writes: the schema and the parser must say the same of each.
TEXTS = st.builds(
    "{}{}{}{}".format,
    st.sampled_from(["", " ", "+", "-", "+ "]),
    st.sampled_from(
        [
            "1",
            "0.052",
            ".5",
            "5.",
            "1e-3",
            "1E+2",
            "5/16",
            "1 1/2",
            "1/0",
            "3/2/1",
            "1,5",
            "\u0661",
            "nan",
            "",
        ]
    ),
    st.sampled_from(["", " ", "  ", "\t", "\n"]),
    st.sampled_from(
        [
            "in",
            "thou",
            "mm",
            "IN",
            "rpm",
            "US gal",
            "US  gal",
            "%",
            "",
            "in ",
            "in\n",
            "Pa.s",
            "Paxs",
            "L/min",
        ]
    ),
)


@given(
    text=TEXTS,
    quantity=st.sampled_from(["length", "volume", "ratio", "count", "pressure", "rotational_speed"]),
)
@settings(max_examples=400, derandomize=True, database=None, deadline=None)
def test_quantities_fit_the_schema_if_they_can_be_read(text: str, quantity: str) -> None:
    fits = validator(component_name(quantity)).is_valid(text)
    try:
        parse(text, quantity)
    except UnitFault as fault:
        found = fault.found
    else:
        found = ""
    # A pattern can't tell that 1/0 is no fraction and 0.5 no count.
    beyond_patterns = "fraction" in found or quantity == "count"
    assert fits == (not found) or (fits and beyond_patterns)


def test_every_unit_fits_its_quantity() -> None:
    for quantity in ("length", "pressure", "slip", "relief_slope", "ratio", "count", "temperature", "angle"):
        for unit in units_of(quantity):
            assert validator(component_name(quantity)).is_valid(f"2 {unit}")


@pytest.mark.parametrize(
    "told",
    [
        {"format": 2},
        {"format": "1"},
        {"family": None},
        {"family": "tarn v8"},
        {"name": ""},
        {"name": " "},
        {"build": "a--b"},
        {"as_of": "26-01-01"},
        {"nme": "a"},
        {"settings": []},
        {"settings": {"preload": 25}},
        {"settings": {"preload": "25"}},
        {"settings": {"preload": {"plus_minus": "1 thou"}}},
        {"settings": {"preload": {"is": "25 thou", "standing": "guessed"}}},
        {"settings": {"preloed": "25 thou"}},
        {"slots": {"lifter": None}},
        {"slots": {"lifter": 1}},
        {"slots": {"lifter": {}}},
        {"slots": {"lifter": {"part": None, "has": None}}},
        {"slots": {"lifter": {"name": "a lifter"}}},
        {"slots": {"lifter": [{"at": "intake"}]}},
        {"slots": {"lifter": {"part": "BW-118", "at": "all"}}},
        {"slots": {"lifter": ["BW-118"]}},
        {"slots": {"lifter": {"has": {"metering": "disk"}}}},
        {"points": {"hot_idle": None}},
        {"points": {"warm_idle": {}}},
        {"open": "lifter"},
        {"open": [None]},
        {"accepts": [{"finding": "a@b", "reason": "c", "by": "d"}]},
    ],
    ids=str,
)
def test_what_the_schema_refuses_is_refused(told: dict[str, Any]) -> None:
    build = {"format": 1, "family": "tarn-v8", **told}
    assert not BUILD.is_valid(build)
    assert check(build).status == 422


NULLS = ("build", "name", "as_of", "slots", "settings", "points", "open", "accepts")


@pytest.mark.parametrize("key", NULLS)
def test_null_is_taken_where_the_schema_takes_it(key: str) -> None:
    build = {"format": 1, "family": "tarn-v8", key: None}
    assert BUILD.is_valid(build)
    assert check(build).status == 200


@given(text=st.text(max_size=8))
@settings(max_examples=200, derandomize=True, database=None, deadline=None)
def test_hidden_characters_are_what_the_reader_calls_hidden(text: str) -> None:
    faults: list[Any] = []
    read_json(json.dumps(text), faults)
    assert validator("Text").is_valid(text) == (not faults and bool(text.strip()))
