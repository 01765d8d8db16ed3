"""The words JSON Schemas are made of: closed mappings, texts, quantities with their units, values of attributes."""

import re
from collections.abc import Iterable, Mapping

from upfeed.knowledge.records import STANDINGS
from upfeed.knowledge.tables import MOST_READINGS
from upfeed.knowledge.vocabulary import Attribute, Kind
from upfeed.reading.nearest import either
from upfeed.reading.reader import FORMAT, LONGEST_IDENT
from upfeed.reading.units import LONGEST, QUANTITIES, show, units_of

Schema = dict[str, object]

_NUMBER = r"[+-]?([0-9]+(\.[0-9]+)?|\.[0-9]+)([eE][+-]?[0-9]+)?"
_FRACTION = r"[+-]?([0-9]+ +)?[0-9]+/[0-9]+"
BARE = ("ratio", "count")
"""Quantities that may be written as a bare number."""

NULL: Schema = {"type": "null"}


def text(description: str = "") -> Schema:
    """Text that is not blank."""
    return _told({"type": "string", "pattern": r"\S"}, description)


def ident(description: str = "") -> Schema:
    """An id."""
    pattern = "^[A-Za-z0-9]+(-[A-Za-z0-9]+)*$"
    return _told({"type": "string", "pattern": pattern, "maxLength": LONGEST_IDENT}, description)


def one_of(words: Iterable[str], description: str = "") -> Schema:
    """One of some words."""
    return _told({"enum": list(words)}, description)


def listed(items: Schema, description: str = "", least: int = 0) -> Schema:
    """A list."""
    least_items: Schema = {"minItems": least} if least else {}
    return _told({"type": "array", "items": items, **least_items}, description)


def date(description: str) -> Schema:
    """A day as 2026-11-30."""
    return _told({"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}, description)


def flag(description: str) -> Schema:
    """True or false."""
    return {"type": "boolean", "description": description}


def ref(name: str, description: str = "") -> Schema:
    """What is defined under `$defs`."""
    return _told({"$ref": f"#/$defs/{name}"}, description)


def file_format() -> Schema:
    """The format of a file."""
    return {"const": FORMAT, "description": "format of this file"}


def closed(properties: Mapping[str, Schema], required: Iterable[str] = (), description: str = "") -> Schema:
    """A mapping of these keys and no others; those not required may be null, which counts as absent."""
    needed = list(required)
    own = {key: schema if key in needed else or_null(schema) for key, schema in properties.items()}
    shape: Schema = {"type": "object", "additionalProperties": False, "properties": own}
    if needed:
        shape["required"] = needed
    return _told(shape, description)


def mapping(keys: str, values: Schema, description: str = "") -> Schema:
    """A mapping whose keys follow a pattern."""
    shape: Schema = {"type": "object", "additionalProperties": False, "patternProperties": {keys: values}}
    return _told(shape, description)


def or_null(schema: Schema) -> Schema:
    """The same, or null."""
    if isinstance(schema.get("type"), str):
        return {**schema, "type": [schema["type"], "null"]}
    if "enum" in schema:
        assert isinstance(schema["enum"], list)
        return {**schema, "enum": [*schema["enum"], None]}
    described = {key: schema[key] for key in ("description",) if key in schema}
    return {"anyOf": [{k: v for k, v in schema.items() if k != "description"}, NULL], **described}


def quantities() -> dict[str, Schema]:
    """Every quantity as it is written, under its own name."""
    return {name: _quantity(name) for name in QUANTITIES}


def values() -> dict[str, Schema]:
    """Every quantity as an attribute's value, under its name and `_value`: bare, or with more; null is unknown."""
    return {f"{name}_value": {"anyOf": [ref(name), _full(ref(name), name), NULL]} for name in QUANTITIES}


def _quantity(name: str) -> Schema:
    units = "|".join(re.escape(unit).replace(r"\ ", " ") for unit in units_of(name))
    pattern = f"^ *({_NUMBER}|{_FRACTION}) *({units}) *$"
    written: Schema = {"type": "string", "pattern": pattern, "maxLength": LONGEST}
    if name not in BARE:
        return {**written, "description": f"number and unit: {either(units_of(name))}"}
    number = "integer" if name == "count" else "number"
    return {**written, "type": [number, "string"], "description": _BARE_TOLD[name]}


_BARE_TOLD = {"ratio": "a bare number, or a percentage", "count": "a bare whole number"}


def has(kind: Kind) -> Schema:
    """What is known of a part: its attributes; what is not known is left out, or null."""
    known = {name: _value(attribute) for name, attribute in kind.attributes.items()}
    return {"type": "object", "additionalProperties": False, "properties": known}


def _value(attribute: Attribute) -> Schema:
    """A bare value, or one with tolerance, standing, source and note."""
    described: Schema = {"description": told(attribute)}
    if attribute.table is not None:
        readings = _readings([ref(column.quantity) for column in attribute.table])
        return {"anyOf": [readings, _full(readings, None), NULL], **described}
    if attribute.quantity is None:
        words = attribute.choices or {}
        choice: Schema = {"oneOf": [{"const": word, "description": means} for word, means in words.items()]}
        return {"anyOf": [choice, _full(choice, None), NULL], **described}
    value = {**ref(f"{attribute.quantity}_value"), **described}
    if attribute.quantity not in BARE or not attribute.possible:
        return value
    ends: Schema = {"minimum": attribute.possible[0], "maximum": attribute.possible[1]}
    return {**value, **ends, "properties": {"is": ends}}


def _readings(cells: list[Schema]) -> Schema:
    pair: Schema = {"type": "array", "prefixItems": cells, "items": False, "minItems": len(cells)}
    return {"type": "array", "items": pair, "minItems": 1, "maxItems": MOST_READINGS}


def _full(bare: Schema, quantity: str | None) -> Schema:
    tolerance = {"plus_minus": ref(quantity, "tolerance")} if quantity else {}
    return closed({"is": bare, **tolerance, **provenance(), "note": text("anything worth knowing")}, ["is"])


def provenance() -> dict[str, Schema]:
    """How values came to be known, where they do not say otherwise."""
    return {"standing": one_of(STANDINGS, "how it came to be known"), "source": text("id of a source")}


def told(attribute: Attribute) -> str:
    """An attribute's definition, how it is measured, what is possible, and when a check needs it."""
    sentences = (
        attribute.definition,
        f"Measure: {attribute.how} ({attribute.tool})" if attribute.how else "",
        _ranges(attribute),
        _need(attribute),
    )
    return "\n".join(f"{sentence.rstrip('.')}." for sentence in sentences if sentence)


def _ranges(attribute: Attribute) -> str:
    if not attribute.quantity or not attribute.possible:
        return ""
    possible, usual = (
        " to ".join(show(end, attribute.quantity, attribute.shown_in) for end in ends) if ends else ""
        for ends in (attribute.possible, attribute.usual)
    )
    return f"Possible: {possible}; usual: {usual}" if usual else f"Possible: {possible}"


def _need(attribute: Attribute) -> str:
    if isinstance(attribute.needed, bool):
        return "A check needs it" if attribute.needed else ""
    where = (f"{by} is {either(words)}" for by, words in attribute.needed.items())
    return f"A check needs it where {' and '.join(where)}"


def _told(schema: Schema, description: str) -> Schema:
    return {**schema, "description": description} if description else schema
