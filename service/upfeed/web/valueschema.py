"""JSON Schemas of values as a build gives them: quantities as text with a unit, choices, or more about either."""

import re
from collections.abc import Iterable
from typing import Any

from upfeed.knowledge.records import STANDINGS
from upfeed.knowledge.tables import MOST_READINGS
from upfeed.knowledge.vocabulary import Attribute
from upfeed.reading.units import LONGEST, show, units_of

Schema = dict[str, Any]

_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_FRACTION = r"[+-]?(?:[0-9]+ +)?[0-9]+/[0-9]+"
_BARE = ("ratio", "count")
_HIDDEN = r"\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\u2028\u2029\ufeff\ufffe\uffff"


def ref(name: str) -> Schema:
    """A component of the contract."""
    return {"$ref": f"#/components/schemas/{name}"}


TEXT = ref("Text")
"""Text without hidden characters that is not blank."""


def whole(pattern: str) -> str:
    """A pattern for the whole of a text (ECMA-262, as JSON Schema has it: `$` is the very end)."""
    return f"^(?:{pattern})$"


def nullable(schema: Schema) -> Schema:
    """A schema that null fits too."""
    return {"anyOf": [schema, {"type": "null"}]}


def entries(properties: dict[str, Schema], required: tuple[str, ...] = ()) -> Schema:
    """An object with these keys and no others."""
    needed = {"required": list(required)} if required else {}
    return {"type": "object", "properties": properties, **needed, "additionalProperties": False}


def component_name(quantity: str) -> str:
    """The component that a quantity's values follow."""
    return "".join(part.capitalize() for part in quantity.split("_"))


def value_components(quantities: Iterable[str]) -> dict[str, Schema]:
    """What text and each quantity may be written as, alone and with more about it."""
    text = rf"[^{_HIDDEN}]*[^\s{_HIDDEN}][^{_HIDDEN}]*"
    told = "Text that is not blank and holds no hidden characters."
    found: dict[str, Schema] = {"Text": {"description": told, "type": "string", "pattern": whole(text)}}
    for quantity in quantities:
        name = component_name(quantity)
        found[name] = _written(quantity)
        found[f"Given{name}"] = _more_about(ref(name))
    return found


def attribute_schema(attribute: Attribute) -> Schema:
    """A value of an attribute: bare, with more about it, or null where it is not known."""
    if attribute.table is not None:
        cells = [ref(component_name(column.quantity)) for column in attribute.table]
        bare: Schema = _readings(cells)
        more = _more_about(bare)
    elif attribute.quantity is None:
        bare = {"type": "string", "enum": list(attribute.choices or ())}
        more = _more_about(bare)
    else:
        name = component_name(attribute.quantity)
        bare, more = ref(name), ref(f"Given{name}")
    return {"anyOf": [bare, more, {"type": "null"}]}


def _readings(cells: list[Schema]) -> Schema:
    pair: Schema = {"type": "array", "prefixItems": cells, "minItems": len(cells), "maxItems": len(cells)}
    return {"type": "array", "items": pair, "minItems": 1, "maxItems": MOST_READINGS}


def attribute_words(attribute: Attribute) -> str:
    """What an attribute is, what its choices mean, and its usual size."""
    told = attribute.definition
    if attribute.choices:
        told += ": " + "; ".join(f"{word}, {meaning}" for word, meaning in attribute.choices.items())
    if attribute.usual and attribute.quantity:
        low, high = (show(end, attribute.quantity, attribute.shown_in) for end in attribute.usual)
        told += f"; usually {low} to {high}"
    return told


def _written(quantity: str) -> Schema:
    symbols = units_of(quantity)
    unit = "|".join(map(re.escape, symbols)).replace("\\ ", " ")
    pattern = whole(f" *(?:{_NUMBER}|{_FRACTION}) *(?:{unit}) *")
    text: Schema = {"type": "string", "pattern": pattern, "maxLength": LONGEST}
    noun = quantity.replace("_", " ")
    if quantity in _BARE:
        return {"description": f"A {noun}: a bare number, or text.", "anyOf": [{"type": "number"}, text]}
    units = ", ".join(symbols)
    return {"description": f"A number or fraction and a unit of {noun}: {units}.", **text}


def _more_about(bare: Schema) -> Schema:
    return {
        "description": "A value, its tolerance either way, how it came to be known and where it comes from.",
        **entries(
            {
                "is": bare,
                "plus_minus": nullable(bare if "$ref" in bare else TEXT),
                "standing": nullable({"type": "string", "enum": list(STANDINGS)}),
                "source": nullable(TEXT),
                "note": nullable(TEXT),
            },
            ("is",),
        ),
    }
