"""A build as parameters of a query, and back: `family=tarn-v8&lifter=BW-118&lifter.feed_hole=0.052 in`.

A name is the path to a value, steps joined by dots. A slot is named by itself (or behind `slots.`): its own value is
the part, `lifter.name` and `lifter.fill_from` are what they are in a file, all else below it are sizes;
`lifter@3-intake` is the slot at some valves. `settings.preload`, `points.hot_idle.speed` and what stands at the top
of a file go by their paths; `open` has commas between slots, `accepts.1.finding` counts from 1. More about a value
stands below it: `settings.preload.plus_minus=2 thou`. A value left empty is not known. A table has commas between the
two of a reading and semicolons between readings.
"""

from collections.abc import Collection, Iterable, Iterator
from typing import Any
from urllib.parse import urlencode

from msgspec import Struct

from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading.reader import FORMAT

STEP = "[a-z0-9_]+(?:@[a-z0-9]+(?:[ -][a-z0-9]+)*)?"
"""One step of a name, with where in its slot a part stands."""

TOP = ("format", "build", "name", "family", "as_of", "open", "accepts", "settings", "points", "slots")
"""First steps of names that are no slots."""

_PLAIN = ("build", "name", "family", "as_of")
_OF_A_FITTING = ("name", "fill_from")
_MORE = ("plus_minus", "standing", "source", "note")

Pairs = list[tuple[str, str]]


class Dotted(Struct, frozen=True):
    """A build as JSON has it, and the parameter that holds what stands at each pointer into it."""

    build: dict[str, Any]
    names: dict[str, str]

    def parameter_at(self, pointer: str) -> str | None:
        """The parameter that says what stands at a pointer, else at the nearest above it, else below it."""
        above = pointer
        while above:
            if above in self.names:
                return self.names[above]
            above = above.rpartition("/")[0]
        below = (name for at, name in self.names.items() if pointer and at.startswith(f"{pointer}/"))
        return next(below, None)


def build_of(pairs: Iterable[tuple[str, str]], tables: Collection[str]) -> Dotted:
    """The build that parameters say, each name given once; `tables` are the attributes that hold tables.

    Whatever they say comes out: what is wrong with it, the reader of builds finds.
    """
    root = _Tree()
    for name, text in pairs:
        root.put(name.split("."), name, text)
    names: dict[str, str] = {}
    return Dotted(_Builder(names, tables).build(root), names)


def tables_of(vocabulary: Vocabulary) -> frozenset[str]:
    """The attributes of any kind that hold tables."""
    kinds = vocabulary.kinds.values()
    return frozenset(a.name for kind in kinds for a in kind.attributes.values() if a.table is not None)


class _Tree:
    """What stands at a path, and what stands below it."""

    def __init__(self) -> None:
        self.text: str | None = None
        self.name = ""
        self.below: dict[str, _Tree] = {}

    def put(self, steps: list[str], name: str, text: str) -> None:
        if not steps:
            self.text, self.name = text, name
            return
        self.below.setdefault(steps[0], _Tree()).put(steps[1:], name, text)

    def bare(self) -> "_Tree":
        """What stands here, without what stands below."""
        bare = _Tree()
        bare.text, bare.name = self.text, self.name
        return bare


class _Builder:
    """Makes JSON of a tree, noting which parameter stands where."""

    def __init__(self, names: dict[str, str], tables: Collection[str]) -> None:
        self._names, self._tables = names, tables

    def build(self, root: _Tree) -> dict[str, Any]:
        top = root.below
        slots = [(step, tree) for step, tree in top.items() if step not in TOP]
        if "slots" in top:
            slots += top["slots"].below.items()
            # Text at `slots` itself is nothing; under a slot's name that there is none of, it is told as a fault.
            slots += [("slots", top["slots"].bare())] if top["slots"].text is not None else []
        told: dict[str, Any] = {"format": self._format(top)}
        told |= {key: self._plain(top[key], f"/{key}") for key in _PLAIN if key in top}
        if slots:
            told["slots"] = self._slots(slots)
        if "settings" in top:
            told["settings"] = self._values(top["settings"], "/settings")
        if "points" in top:
            told["points"] = self._points(top["points"])
        if "open" in top:
            told["open"] = self._open(top["open"])
        if "accepts" in top:
            told["accepts"] = self._accepts(top["accepts"])
        return told

    def _format(self, top: dict[str, _Tree]) -> Any:
        if "format" not in top:
            return FORMAT
        found = self._plain(top["format"], "/format")
        return FORMAT if found == str(FORMAT) else found

    def _noted(self, tree: _Tree, pointer: str) -> str | None:
        self._names[pointer] = tree.name
        return tree.text or None

    def _plain(self, tree: _Tree, pointer: str) -> Any:
        """Text; or whatever stands below it, which is then one thing too many."""
        if not tree.below:
            return self._noted(tree, pointer)
        told = {key: self._plain(below, f"{pointer}/{key}") for key, below in tree.below.items()}
        if tree.text is None:
            return told
        if "is" in told:
            return told | {"is": [self._noted(tree, f"{pointer}/is/0"), told["is"]]}
        return told | {"is": self._noted(tree, f"{pointer}/is")}

    def _points(self, tree: _Tree) -> Any:
        if tree.text is not None:
            return self._plain(tree, "/points")
        return {point: self._values(below, f"/points/{point}") for point, below in tree.below.items()}

    def _values(self, tree: _Tree, pointer: str) -> Any:
        if tree.text is not None:
            return self._plain(tree, pointer)
        return {name: self._value(name, below, f"{pointer}/{name}") for name, below in tree.below.items()}

    def _value(self, name: str, tree: _Tree, pointer: str) -> Any:
        found = self._plain(tree, pointer)
        if name not in self._tables:
            return found
        if isinstance(found, dict):
            return {key: _table(text) if key == "is" else text for key, text in found.items()}
        return _table(found)

    def _open(self, tree: _Tree) -> Any:
        found = self._plain(tree, "/open")
        return found.split(",") if isinstance(found, str) else found

    def _accepts(self, tree: _Tree) -> Any:
        numbers = sorted(tree.below, key=lambda step: (len(step), step))
        if tree.text is not None or not all(step.isdecimal() for step in numbers):
            return self._plain(tree, "/accepts")
        return [self._plain(tree.below[step], f"/accepts/{i}") for i, step in enumerate(numbers)]

    def _slots(self, named: list[tuple[str, _Tree]]) -> dict[str, Any]:
        places: dict[str, list[tuple[str, _Tree]]] = {}
        for step, tree in named:
            slot, _, at = step.partition("@")
            places.setdefault(slot, []).append((at.replace("-", " "), tree))
        return {slot: self._slot(found, f"/slots/{slot}") for slot, found in places.items()}

    def _slot(self, places: list[tuple[str, _Tree]], pointer: str) -> Any:
        if len(places) == 1 and not places[0][0]:
            return self._fitting(places[0][1], pointer)
        placed = []
        for i, (at, tree) in enumerate(places):
            found = self._fitting(tree, f"{pointer}/{i}")
            fitting = found if isinstance(found, dict) else {"part": found}
            placed.append({"at": at or "all", **fitting})
        return placed

    def _fitting(self, tree: _Tree, pointer: str) -> Any:
        """A part's id alone, or a part and more."""
        if not tree.below:
            return self._noted(tree, pointer)
        told: dict[str, Any] = {}
        if tree.text is not None:
            told["part"] = self._noted(tree, f"{pointer}/part")
        sizes = _Tree()
        for step, below in tree.below.items():
            if step in _OF_A_FITTING:
                told[step] = self._plain(below, f"{pointer}/{step}")
            else:
                sizes.below[step] = below
        return told | ({"has": self._values(sizes, f"{pointer}/has")} if sizes.below else {})


def _table(text: Any) -> Any:
    if not isinstance(text, str):
        return text
    return [[cell.strip() for cell in reading.split(",")] for reading in text.split(";")]


def pairs_of(build: dict[str, Any]) -> Pairs:
    """The parameters that say a build that can be read, as JSON has it; `build_of` gives the same build back.

    Left out is what says nothing: the format, keys of null, and empty lists and objects.
    """
    return list(_pairs(build))


def query_of_build(build: dict[str, Any]) -> str:
    """The query that says a build, percent-encoded."""
    return urlencode(pairs_of(build), safe="@")


def _pairs(build: dict[str, Any]) -> Iterator[tuple[str, str]]:
    for key in _PLAIN:
        yield from _given(key, build.get(key))
    for slot, fitting in (build.get("slots") or {}).items():
        yield from _of_slot(f"slots.{slot}" if slot in TOP else slot, fitting)
    yield from _of_values("settings", build.get("settings"))
    for point, values in (build.get("points") or {}).items():
        yield from _of_values(f"points.{point}", values)
    if build.get("open"):
        yield "open", ",".join(build["open"])
    for number, accepted in enumerate(build.get("accepts") or (), 1):
        for key, text in accepted.items():
            yield from _given(f"accepts.{number}.{key}", text)


def _of_slot(name: str, fitting: Any) -> Iterator[tuple[str, str]]:
    if isinstance(fitting, list):
        for placed in fitting:
            at = str(placed.get("at") or "all").replace(" ", "-")
            yield from _of_slot(f"{name}@{at}", {key: placed[key] for key in placed if key != "at"})
    elif isinstance(fitting, dict):
        yield from _given(name, fitting.get("part"))
        for key in _OF_A_FITTING:
            yield from _given(f"{name}.{key}", fitting.get(key))
        yield from _of_values(name, fitting.get("has"))
    else:
        yield name, str(fitting)


def _of_values(path: str, values: Any) -> Iterator[tuple[str, str]]:
    for name, value in (values or {}).items():
        if isinstance(value, dict):
            yield f"{path}.{name}", _text(value["is"])
            for key in _MORE:
                yield from _given(f"{path}.{name}.{key}", value.get(key))
        else:
            yield f"{path}.{name}", _text(value)


def _given(name: str, value: Any) -> Iterator[tuple[str, str]]:
    if value is not None:
        yield name, _text(value)


def _text(value: Any) -> str:
    if isinstance(value, list):
        return ";".join(",".join(map(str, reading)) for reading in value)
    return "" if value is None else str(value)
