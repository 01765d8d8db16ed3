"""JSON into the same tree as YAML, each origin a JSON pointer (RFC 6901)."""

import json
from collections.abc import Iterator
from typing import Any, TypeAlias

from upfeed.reading.faults import Fault, Origin, quoted
from upfeed.reading.nodes import DEEPEST, Form, Mapping, Node, Scalar, Sequence
from upfeed.reading.rawtext import HIDDEN, plain_text


class _Number(str):
    """A number as written: a float would lose digits, an int of a million digits would never end."""

    __slots__ = ()


class _Constant(str):
    """NaN, Infinity or -Infinity, which Python reads but JSON does not have."""

    __slots__ = ()


class _Pairs(list[tuple[str, Any]]):
    """An object's members in order, equal keys included."""

    __slots__ = ()


_Value: TypeAlias = "_Pairs | list[Any] | str | bool | None"

_DECODER = json.JSONDecoder(
    object_pairs_hook=_Pairs, parse_int=_Number, parse_float=_Number, parse_constant=_Constant
)


def _escaped(key: str) -> str:
    return key.replace("~", "~0").replace("/", "~1")


class _Grower:
    """Turns decoded values into nodes, adding faults."""

    def __init__(self, faults: list[Fault]) -> None:
        self._faults = faults

    def _fault(self, pointer: str, found: str, expected: str, advice: str = "") -> None:
        self._faults.append(Fault(Origin(pointer=pointer), "", found, expected, advice))

    def node(self, value: _Value, pointer: str, depth: int) -> Node:
        if not isinstance(value, list):
            return self._scalar(value, pointer)
        if depth >= DEEPEST:
            self._fault(pointer, f"more than {DEEPEST} levels of nesting", f"at most {DEEPEST}")
            return Scalar("", "refused", Origin(pointer=pointer))
        if isinstance(value, _Pairs):
            return self._mapping(value, pointer, depth)
        items = [self.node(item, f"{pointer}/{index}", depth + 1) for index, item in enumerate(value)]
        return Sequence(items, Origin(pointer=pointer))

    def _mapping(self, pairs: _Pairs, pointer: str, depth: int) -> Mapping:
        mapping = Mapping({}, {}, Origin(pointer=pointer))
        for key, value in self._members(pairs, pointer):
            below = f"{pointer}/{_escaped(key)}"
            mapping.keys[key] = Origin(pointer=below)
            mapping.entries[key] = self.node(value, below, depth + 1)
        return mapping

    def _members(self, pairs: _Pairs, pointer: str) -> Iterator[tuple[str, _Value]]:
        seen: set[str] = set()
        for key, value in pairs:
            if self._hidden(key):
                self._fault(pointer, f"hidden characters in the key {quoted(key)}", "visible text")
            elif key in seen:
                self._fault(pointer, f"the key {quoted(key)} again", "it only once", "Take one of them out.")
            else:
                seen.add(key)
                yield key, value

    def _scalar(self, value: str | bool | None, pointer: str) -> Scalar:
        origin = Origin(pointer=pointer)
        if isinstance(value, bool):
            return Scalar("true" if value else "false", "boolean", origin)
        if value is None:
            return Scalar("null", "null", origin)
        return Scalar(str(value), self._form(value, pointer), origin)

    def _form(self, text: str, pointer: str) -> Form:
        if isinstance(text, _Number):
            return "number"
        if isinstance(text, _Constant):
            advice = "Write null, or leave out what is unknown."
            self._fault(pointer, str(text), "a finite number", advice)
            return "refused"
        if self._hidden(text):
            self._fault(pointer, f"hidden characters in {quoted(text)}", "visible text", "Take them out.")
            return "refused"
        return "text"

    @staticmethod
    def _hidden(text: str) -> bool:
        return not text.isprintable() and HIDDEN.search(text) is not None


def read_json(text: str | bytes, faults: list[Fault], pointer: str = "") -> Node | None:
    """Return the tree of a JSON text, its origins JSON pointers below `pointer`.

    Everything wrong is added to `faults`; None where nothing can be read.
    """
    origin = Origin(pointer=pointer)
    readable = plain_text(text, origin, faults)
    if readable is None:
        return None
    try:
        value = _DECODER.decode(readable)
    except json.JSONDecodeError as error:
        where = f"{error.msg}, line {error.lineno} column {error.colno}"
        faults.append(Fault(origin, "", f"text that is not JSON ({where})", "JSON"))
        return None
    except RecursionError:
        faults.append(Fault(origin, "", f"more than {DEEPEST} levels of nesting", f"at most {DEEPEST}"))
        return None
    return _Grower(faults).node(value, pointer, 0)
