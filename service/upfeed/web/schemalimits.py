"""What changes from one JSON Schema to another in what bounds a value by itself: words, sizes, patterns and others."""

from collections.abc import Iterator
from typing import Any

from upfeed.web.change import Change, addition, breaking
from upfeed.web.valueschema import Schema

ANNOTATIONS = frozenset(
    ("title", "description", "examples", "example", "deprecated", "discriminator", "externalDocs", "$comment")
)
"""Keywords that let no value through and keep none back."""

_LEAST = ("minimum", "exclusiveMinimum", "minLength", "minItems", "minProperties")
_MOST = ("maximum", "exclusiveMaximum", "maxLength", "maxItems", "maxProperties")

_VALUES = ("type", "enum", "default", "anyOf", "oneOf", "$ref", "items", "prefixItems")
_FIELDS = ("properties", "required", "additionalProperties")
_ELSEWHERE = frozenset((*_VALUES, *_FIELDS, *_LEAST, *_MOST))
"""Keywords that are looked into by themselves; all others have to stay the same."""


def limit_changes(old: Schema, new: Schema, place: str, *, sent: bool) -> Iterator[Change]:
    """What lets fewer values through than before, where they are sent, or more, where they are told."""
    yield from _words(old.get("enum"), new.get("enum"), place, sent=sent)
    for name in _LEAST:
        yield from _bound(old.get(name), new.get(name), f"{place}, {name}", sent=sent, tightens=1)
    for name in _MOST:
        yield from _bound(old.get(name), new.get(name), f"{place}, {name}", sent=sent, tightens=-1)
    yield from _others(old, new, place, sent=sent)
    if sent and "default" in old and "default" in new and old["default"] != new["default"]:
        yield breaking(place, f"left out, it is {new['default']}, was {old['default']}")


def _words(old: list[Any] | None, new: list[Any] | None, place: str, *, sent: bool) -> Iterator[Change]:
    """Words of an answer stay as they are either way: clients put them to choices that know no others."""
    if old is None or new is None:
        if old != new and (new is None) != sent:
            yield breaking(place, "is one of a few now" if new else "is one of a few no longer")
        return
    for word in old:
        if word not in new:
            yield breaking(place, f"{word} is gone")
    for word in new:
        if word not in old:
            yield addition(place, f"takes {word}") if sent else breaking(place, f"may be {word} now")


def _bound(old: Any, new: Any, place: str, *, sent: bool, tightens: int) -> Iterator[Change]:
    if old == new:
        return
    tighter = new is not None and (old is None or (new - old) * tightens > 0)
    if tighter == sent:
        yield breaking(place, f"is {_told(new)}, was {_told(old)}")
    elif sent:
        yield addition(place, f"is {_told(new)}, was {_told(old)}")


def _told(bound: Any) -> str:
    return "none" if bound is None else str(bound)


def _others(old: Schema, new: Schema, place: str, *, sent: bool) -> Iterator[Change]:
    """Of any other keyword nothing is known but that a value may be kept back by it."""
    for name in sorted((old.keys() | new.keys()) - _ELSEWHERE - ANNOTATIONS):
        was, is_ = _bare(old.get(name)), _bare(new.get(name))
        kept_back_by = was if sent else is_
        comes_or_goes = (is_ if sent else was) is None and kept_back_by is not None
        if was != is_ and not comes_or_goes:
            yield breaking(f"{place}, {name}", "is another")


def _bare(schema: Any) -> Any:
    """A schema without what is only said about it."""
    if isinstance(schema, list):
        return [_bare(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    return {key: _bare(value) for key, value in schema.items() if key not in ANNOTATIONS}
