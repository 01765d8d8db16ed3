"""What changes from one JSON Schema to another, and whether whoever was written for the first breaks on the second.

What is sent has to be taken as before: the second schema lets everything through that the first did. What is told has
to be as before: the first lets everything through that the second does, save that readers pass over fields they do not
know. Where two schemas can't be told to fit, they are taken not to.
"""

from collections.abc import Iterable, Iterator
from typing import Any

from msgspec import Struct

from upfeed.web.change import Change, Direction, addition, breaking
from upfeed.web.schemalimits import ANNOTATIONS, limit_changes
from upfeed.web.valueschema import Schema


class _Alternative(Struct, frozen=True):
    """One of the schemas that a value may follow, and where it stands: in a component, or where it is used."""

    place: str
    schema: Schema


class SchemaChanges:
    """Changes between schemas of two documents, in one direction of the traffic."""

    def __init__(self, old: Schema, new: Schema, direction: Direction) -> None:
        self._old, self._new, self._sent = old, new, direction == "sent"
        self._pairs: dict[tuple[int, int], tuple[Schema, Schema, list[Change]]] = {}
        self._split: dict[tuple[int, int], tuple[Schema, list[_Alternative]]] = {}

    def between(self, old: Any, new: Any, place: str) -> list[Change]:
        """Changes from a schema of the first document to one of the second, each once."""
        earlier, later = self._alternatives(old, self._old, place), self._alternatives(new, self._new, place)
        inner, outer = (earlier, later) if self._sent else (later, earlier)
        changes: list[Change] = []
        unmatched = list(outer)
        for one in inner:
            other = min(outer, key=lambda like, one=one: self._distance(one, like))  # type: ignore[misc]
            unmatched = [left for left in unmatched if left is not other]
            lone = len(inner) + len(outer) > 2 and not _fits_type(one.schema, other.schema)
            changes += [self._without_like(one, place)] if lone else self._pair(one, other)
        if self._sent:
            changes += [addition(place, f"may be {_kind(left.schema)}") for left in unmatched]
        return list(dict.fromkeys(changes))

    def _distance(self, one: _Alternative, other: _Alternative) -> tuple[bool, bool, bool, int, int]:
        """How little an alternative is like another: of another type or name, then by what breaks and what changes."""
        fits = _fits_type(one.schema, other.schema)
        unlike = one.schema != other.schema, not fits, one.place != other.place
        changes = self._pair(one, other)
        return *unlike, sum(change.breaks for change in changes), len(changes)

    def _without_like(self, one: _Alternative, place: str) -> Change:
        told = "can be {} no longer" if self._sent else "may be {} now"
        return breaking(place, told.format(_kind(one.schema)))

    def _alternatives(self, schema: Any, document: Schema, place: str) -> list[_Alternative]:
        """All that a value may follow, references and types taken apart; the same list for the same schema."""
        if isinstance(schema, bool):
            return [_Alternative(place, _ANYTHING if schema else _NOTHING)]
        key = id(schema), id(document)
        if key not in self._split:
            self._split[key] = schema, _once(self._taken_apart(schema, document, place))
        return self._split[key][1]

    def _taken_apart(self, schema: Schema, document: Schema, place: str) -> Iterator[_Alternative]:
        judging = schema.keys() - ANNOTATIONS
        if judging == {"$ref"}:
            name = schema["$ref"].rpartition("/")[2]
            yield from self._alternatives(document["components"]["schemas"][name], document, name)
        elif judging in ({"anyOf"}, {"oneOf"}):
            for one in schema.get("anyOf") or schema["oneOf"]:
                yield from self._alternatives(one, document, place)
        elif isinstance(schema.get("type"), list):
            for type_ in schema["type"]:
                yield _Alternative(place, {**schema, "type": type_})
        else:
            yield _Alternative(place, schema)

    def _pair(self, inner: _Alternative, outer: _Alternative) -> list[Change]:
        old, new = (inner, outer) if self._sent else (outer, inner)
        key = id(old.schema), id(new.schema)
        if key not in self._pairs:
            # Schemas that hold themselves: asked again below, nothing is found there that is not found here.
            self._pairs[key] = old.schema, new.schema, []
            self._pairs[key][2].extend(self._one(old.schema, new.schema, new.place))
        return self._pairs[key][2]

    def _one(self, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        inner, outer = (old, new) if self._sent else (new, old)
        if not _fits_type(inner, outer):
            yield breaking(place, f"is {_kind(new)}, was {_kind(old)}")
            return
        yield from limit_changes(old, new, place, sent=self._sent)
        for name in ("$ref", "anyOf", "oneOf"):
            if name in old or name in new:
                yield from self.between(_only(name, old), _only(name, new), place)
        if old.get("type", "object") == "object" and new.get("type", "object") == "object":
            yield from self._fields(old, new, place)
        if old.get("type", "array") == "array" and new.get("type", "array") == "array":
            yield from self._items(old, new, place)

    def _fields(self, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        before, after = old.get("properties", {}), new.get("properties", {})
        needed, always = set(new.get("required", ())), set(old.get("required", ()))
        for name in before:
            if name not in after:
                yield breaking(f"{place}.{name}", "is gone")
            else:
                yield from self.between(before[name], after[name], f"{place}.{name}")
        for name in after:
            if name not in before:
                yield from self._new_field(
                    old.get("additionalProperties", True), after[name], f"{place}.{name}"
                )
        yield from self._required(needed, always, after.keys(), place)
        yield from self._other_fields(old, new, place)

    def _new_field(self, any_other: Any, schema: Any, place: str) -> Iterator[Change]:
        """A field that had no name; where any other was taken, it may have been given, and otherwise."""
        if any_other is not False:
            yield from self.between(any_other, schema, place)
        yield addition(place, "is new")

    def _required(self, needed: set[str], always: set[str], there: Any, place: str) -> Iterator[Change]:
        if self._sent:
            for name in sorted(needed - always):
                yield breaking(f"{place}.{name}", "has to be given now")
        for name in sorted(always - needed if not self._sent else ()):
            if name in there:
                yield breaking(f"{place}.{name}", "may be left out now")

    def _other_fields(self, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        """Fields that have no name in the schema. A reader passes over those where it knew of none."""
        before, after = (schema.get("additionalProperties", True) for schema in (old, new))
        if before is not False and after is not False:
            yield from self.between(before, after, f"{place}.*")
        elif self._sent and after is False and before is not False:
            yield breaking(place, "takes no other fields now")

    def _items(self, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        first, then = old.get("prefixItems", []), new.get("prefixItems", [])
        if len(first) != len(then):
            yield breaking(place, f"its first {len(then)} items have their own meaning, were {len(first)}")
        for i, (one, other) in enumerate(zip(first, then, strict=False)):
            yield from self.between(one, other, f"{place}[{i}]")
        if "items" in old or "items" in new:
            yield from self.between(old.get("items", True), new.get("items", True), f"{place}[]")


_ANYTHING: Schema = {}
_NOTHING: Schema = {"not": {}}


def _once(alternatives: Iterable[_Alternative]) -> list[_Alternative]:
    """Alternatives without those that say the same again."""
    found: list[_Alternative] = []
    for one in alternatives:
        if all(one.schema != other.schema for other in found):
            found.append(one)
    return found


def _only(name: str, schema: Schema) -> Any:
    """The part of a schema that one keyword makes up."""
    return {name: schema[name]} if name in schema else True


def _fits_type(inner: Schema, outer: Schema) -> bool:
    one, other = inner.get("type"), outer.get("type")
    return other is None or one == other or (one, other) == ("integer", "number")


def _kind(schema: Schema) -> str:
    words = schema.get("enum")
    if words and len(words) < 4:
        return " or ".join(map(str, words))
    return str(schema.get("type", "anything"))
