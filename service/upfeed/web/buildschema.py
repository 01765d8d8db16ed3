"""The JSON Schema of a build, from the vocabulary: what the reader of builds takes, and no less."""

from collections.abc import Iterator

from upfeed.advising.gauge.readingtext import MOST_READINGS as MOST_GAUGED
from upfeed.knowledge.vocabulary import Kind, Vocabulary
from upfeed.reading.reader import FORMAT
from upfeed.web.limits import MOST_BUILDS
from upfeed.web.operation import ident_schema
from upfeed.web.valueschema import (
    TEXT,
    Schema,
    attribute_schema,
    attribute_words,
    entries,
    nullable,
    ref,
    value_components,
    whole,
)

_NO_PARTS = ("points", "settings")
_DATE: Schema = {
    "type": "string",
    "format": "date",
    "pattern": whole("[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])"),
}


def build_components(vocabulary: Vocabulary) -> dict[str, Schema]:
    """The schema of a build and of everything in it, by name."""
    parts = [kind for name, kind in vocabulary.kinds.items() if name not in _NO_PARTS]
    placed = {
        "at": _described(
            nullable(_position()), "all, a valve's name (intake), a cylinder's number, or both (3 intake)"
        )
    }
    attributes = (attribute for kind in vocabulary.kinds.values() for attribute in kind.attributes.values())
    quantities = sorted({quantity for attribute in attributes for quantity in attribute.quantities})
    return {
        **value_components(quantities),
        "Build": _build(vocabulary),
        "Fitting": _fitting("A part, values, or a part with some values of its own", {}),
        "PlacedFitting": _fitting("The same at some valves of a slot", placed),
        "Sizes": _described(
            entries(dict(_sizes(parts))), "Values of a part; which of them it has depends on its kind."
        ),
        **_bodies_of_several(),
        "Acceptance": _described(_acceptance(), "A finding somebody takes on, until a day."),
    }


def _bodies_of_several() -> dict[str, Schema]:
    two = entries({"first": ref("Build"), "second": ref("Build")}, ("first", "second"))
    # A build that is none has its problem in its place, so that anything may stand in the list.
    each: Schema = {"type": "array", "items": ref("Build"), "minItems": 1, "maxItems": MOST_BUILDS}
    names: Schema = _described(
        nullable({"type": "array", "items": TEXT, "minItems": 1, "maxItems": MOST_BUILDS}),
        "What each build goes by in the answer; its pointer into this body, unless told otherwise.",
    )
    readings: Schema = {"type": "array", "items": TEXT, "minItems": 1, "maxItems": MOST_GAUGED}
    gauged = {
        "build": ref("Build"),
        "readings": _described(readings, "Speed, oil temperature and pressure, as 650 rpm, 100 C, 14 psi."),
        "port": _described(nullable(TEXT), "Where the gauge stands: gallery, unless told otherwise."),
        "error": _described(nullable(TEXT), "How far the gauge may be off, as 1 psi, or 3 % of the reading."),
    }
    return {
        "GaugedBuild": _described(
            entries(gauged, ("build", "readings")), "A build, and what gauges on it read."
        ),
        "TwoBuilds": _described(two, "Two builds that are set side by side."),
        "Builds": _described(
            entries({"builds": each, "names": names}, ("builds",)), "Builds that are checked one by one."
        ),
    }


def _build(vocabulary: Vocabulary) -> Schema:
    point = entries(dict(_sizes([vocabulary.kinds["points"]])))
    points = {name: _described(point, meaning) for name, meaning in vocabulary.points.items()}
    properties = {
        "format": _described({"type": "integer", "enum": [FORMAT]}, "The format of the build."),
        "build": _described(nullable(ident_schema()), "Its id."),
        "name": _described(nullable(TEXT), "What it is, in one line."),
        "family": _described(ident_schema(), "The engine family it is compared with, by its id."),
        "as_of": _described(
            nullable(_DATE), "The day on which accepted findings are judged; needed with them."
        ),
        "slots": _described(
            nullable(_slots()), "What is put where; the reference build fills all other slots."
        ),
        "settings": _described(
            nullable(entries(dict(_sizes([vocabulary.kinds["settings"]])))), "What the assembler sets."
        ),
        "points": _described(
            nullable(entries(points)), "Operating points, where they differ from the family's."
        ),
        "open": _described(nullable({"type": "array", "items": TEXT}), "Slots left empty on purpose."),
        "accepts": _described(nullable({"type": "array", "items": ref("Acceptance")}), "Findings taken on."),
    }
    told = "An engine as it is put together: its family, and what differs from the family's reference build."
    return _described(entries(properties, ("format", "family")), told)


def _slots() -> Schema:
    placed: Schema = {"type": "array", "items": ref("PlacedFitting")}
    by_id = _described(TEXT, "A known part, by its id.")
    return {
        "type": "object",
        "propertyNames": {"pattern": whole("[a-z][a-z0-9_]*")},
        "additionalProperties": {"anyOf": [by_id, ref("Fitting"), placed]},
    }


def _fitting(told: str, more: dict[str, Schema]) -> Schema:
    """What stands in a slot: at least one of a part, values and typical sizes, spelt out as an object for each.

    One object under conditions would say the same in less, but generators of clients make nothing of conditions.
    """
    given: dict[str, Schema] = {
        "part": _described(TEXT, "A known part, by its id."),
        "has": ref("Sizes"),
        "fill_from": _described(TEXT, "A part of typical sizes that fills in what is not given."),
    }
    other = {name: nullable(schema) for name, schema in given.items()}
    other |= {"name": _described(nullable(TEXT), "What to call it.")} | more
    return {"description": f"{told}.", "anyOf": [entries(other | {key: given[key]}, (key,)) for key in given]}


def _position() -> Schema:
    return {"anyOf": [TEXT, {"type": "integer", "minimum": 1}]}


def _acceptance() -> Schema:
    until = _described(_DATE, "The last day it holds.")
    properties = {"finding": TEXT, "reason": TEXT, "by": TEXT, "until": until}
    return entries(properties, tuple(properties))


def _sizes(kinds: list[Kind]) -> Iterator[tuple[str, Schema]]:
    """Every attribute once; one that several kinds have takes what any of them takes."""
    for name in dict.fromkeys(name for kind in kinds for name in kind.attributes):
        owners = [kind for kind in kinds if name in kind.attributes]
        schemas = [attribute_schema(kind.attributes[name]) for kind in owners]
        different = [schema for i, schema in enumerate(schemas) if schema not in schemas[:i]]
        told = "; ".join(_owned(kind, name, len(kinds)) for kind in owners)
        yield name, _described(different[0] if len(different) == 1 else {"anyOf": different}, told)


def _owned(kind: Kind, name: str, count: int) -> str:
    words = attribute_words(kind.attributes[name])
    return f"{kind.name.replace('_', ' ')}: {words}" if count > 1 else words


def _described(schema: Schema, told: str) -> Schema:
    return {"description": told, **{key: value for key, value in schema.items() if key != "description"}}
