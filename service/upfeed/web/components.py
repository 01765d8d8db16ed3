"""The contract's components: what goes out, from the Structs it is made of, and what comes in."""

import inspect
from collections.abc import Sequence
from typing import Any

import msgspec

from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading.units import QUANTITIES
from upfeed.web.buildschema import build_components
from upfeed.web.problem import Problem
from upfeed.web.valueschema import Schema


def components(answers: Sequence[type[msgspec.Struct]], vocabulary: Vocabulary) -> dict[str, Schema]:
    """Every component by name, in order. Raises ValueError where two have one name."""
    _, going_out = msgspec.json.schema_components(
        [*answers, Problem], ref_template="#/components/schemas/{name}"
    )
    coming_in = build_components(vocabulary)
    twice = sorted(going_out.keys() & coming_in.keys())
    if twice:
        raise ValueError(f"components of one name: {', '.join(twice)}")
    if "Computed" in going_out:
        going_out["Computed"]["properties"]["name"]["description"] = _facts(vocabulary)
    return {name: _typed(schema) for name, schema in sorted((going_out | coming_in).items())}


def _facts(vocabulary: Vocabulary) -> str:
    """What may be computed, for the description of its name."""
    told = [f"`{fact.name}`{_unit(fact.quantity)}: {fact.definition}." for fact in vocabulary.facts.values()]
    paths = "Facts have a passage and a point in their names where they are of one, as `gallery_pressure.hot_idle`."
    return " ".join(["The path name of a fact, or the name of a rule's own calculation.", paths, *told])


def _unit(quantity: str | None) -> str:
    return f" [{QUANTITIES[quantity].ucum}]" if quantity else ""


def _typed(schema: Any) -> Any:
    """The same schema as generators of clients ask for it: lists of words with their type, tuples of like things.

    Releases of msgspec, and of Python, differ in whether they take the indentation out of a description.
    """
    if isinstance(schema, list):
        return [_typed(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    mended = {key: _typed(value) for key, value in schema.items()}
    if isinstance(mended.get("description"), str):
        mended["description"] = inspect.cleandoc(mended["description"])
    if mended.get("items") is False:
        mended |= _counted(mended.pop("prefixItems"))
    words = schema.get("enum")
    is_words = isinstance(words, list) and all(isinstance(word, str) for word in words)
    return {"type": "string", **mended} if is_words else mended


def _counted(cells: list[Schema]) -> Schema:
    """A tuple of like things as an array of so many. Raises ValueError for one of unlike things."""
    first, *others = cells
    if any(other != first for other in others):
        raise ValueError(f"a tuple of unlike things: {cells}")
    return {"items": first, "minItems": len(cells), "maxItems": len(cells)}
