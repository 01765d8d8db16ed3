"""Reads a build as written: which parts, settings and operating points differ from the family's reference."""

import re
from collections.abc import Iterator, Mapping
from datetime import date

from upfeed.knowledge.build import misfits
from upfeed.knowledge.records import Acceptance, BuildSheet, Family, Fitting, Knowledge, Plan, Value
from upfeed.knowledge.values import Defaults, Notes, read_values, said_unknown
from upfeed.knowledge.vocabulary import Kind, Vocabulary
from upfeed.reading.faults import Fault, quoted
from upfeed.reading.nearest import did_you_mean, either
from upfeed.reading.nodes import Mapping as MappingNode
from upfeed.reading.nodes import Node, Scalar, Sequence, described
from upfeed.reading.reader import Reader

_KEYS = ("format", "build", "name", "family", "as_of", "slots", "settings", "points", "open", "accepts")
_DATE = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)


def read_sheet(
    node: Node, knowledge: Knowledge, vocabulary: Vocabulary, faults: list[Fault]
) -> BuildSheet | None:
    """A build's sheet, or None with everything wrong added to `faults`."""
    file = Reader(node, "", faults)
    before = len(faults)
    file.format()
    file.only(*_KEYS)
    family = _family(file, knowledge.families)
    if family is None:
        return None
    defaults = Defaults("assumed", "", knowledge.sources)
    sheet = SheetReader(vocabulary, family.plan, defaults, Notes(faults, [])).read(
        file, family.id, tuple(family.points)
    )
    faults.extend(misfits(sheet, knowledge, vocabulary))
    faults.extend(_idle_settings(sheet, family, vocabulary))
    return sheet if len(faults) == before else None


def _idle_settings(sheet: BuildSheet, family: Family, vocabulary: Vocabulary) -> Iterator[Fault]:
    """Settings that a build gives and that count for nothing under the choices in force."""
    chosen = {n: v.magnitude for n, v in (family.reference.settings | sheet.settings).items()}
    for name, value in sheet.settings.items():
        attribute = vocabulary.kinds["settings"].attributes[name]
        if isinstance(attribute.needed, dict) and not attribute.is_needed(chosen):
            by, words = next(iter(attribute.needed.items()))
            found = f"{value.written}, which does not count while {by} is {chosen[by]}"
            yield Fault(
                value.origin, f"settings, {name}", found, f"no {name}, or {by}: {either(words)} beside it"
            )


def _family(file: Reader, families: Mapping[str, Family]) -> Family | None:
    name = file.text("family")
    if name and name not in families:
        file.fault("family", quoted(name), "a known family", did_you_mean(name, families))
    return families.get(name)


class SheetReader:
    """Reads slots, settings and points against a plan."""

    def __init__(self, vocabulary: Vocabulary, plan: Plan, defaults: Defaults, notes: Notes) -> None:
        self._vocabulary, self._plan = vocabulary, plan
        self._defaults, self._notes = defaults, notes

    def read(self, file: Reader, family: str, points: tuple[str, ...]) -> BuildSheet:
        """The whole sheet of a build."""
        settings, slots = file.mapping("settings"), file.mapping("slots")
        return BuildSheet(
            id=file.ident("build") if file.node("build") else "",
            name=file.optional_text("name") or "",
            family=family,
            as_of=_date(file, "as_of"),
            slots=self.slots(slots),
            settings=self._values(settings, self._vocabulary.kinds["settings"], "/settings"),
            points=self.points(file.mapping("points"), points),
            open=self._open(file, slots),
            accepts=_acceptances(file),
            origin=file.origin(),
            unknown=self._unknown(file),
        )

    def slots(self, given: Reader | None) -> dict[str, tuple[Fitting, ...]]:
        """What is put into each slot, by position."""
        found: dict[str, tuple[Fitting, ...]] = {}
        if given is None:
            return found
        for name, node, _ in given.items():
            if name in self._plan.slots:
                found[name] = self._fittings(given, name, node)
            else:
                given.fault(name, quoted(name), "a slot of this family", did_you_mean(name, self._plan.slots))
        return found

    def points(self, given: Reader | None, known: tuple[str, ...]) -> dict[str, dict[str, Value]]:
        """Values of operating points; `known` are the points there may be."""
        kind = self._vocabulary.kinds["points"]
        found: dict[str, dict[str, Value]] = {}
        if given:
            given.only(*known)
            for name, values in given.each():
                if name in known:
                    found[name] = self._values(values, kind, f"/points/{name}")
        return found

    def _unknown(self, file: Reader) -> dict[str, tuple[str, ...]]:
        kinds, points = self._vocabulary.kinds, file.node("points")
        given = points.entries.items() if isinstance(points, MappingNode) else ()
        said = {name: said_unknown(node, kinds["points"]) for name, node in given}
        said["settings"] = said_unknown(file.node("settings"), kinds["settings"])
        return {name: values for name, values in said.items() if values}

    def _open(self, file: Reader, slots: Reader | None) -> tuple[str, ...]:
        """Slots left empty on purpose, which then hold nothing."""
        known, named = self._plan.slots, file.words("open")
        for name in named:
            if name not in known:
                file.fault("open", quoted(name), "a slot of this family", did_you_mean(name, known))
            elif slots and slots.node(name):
                file.fault("open", f"{name}, which `slots` fills", "a slot left open or filled, not both")
        return tuple(name for name in dict.fromkeys(named) if name in known)

    def _fittings(self, slots: Reader, name: str, node: Node) -> tuple[Fitting, ...]:
        kind = self._vocabulary.kinds[self._plan.slots[name].kind]
        if isinstance(node, Sequence):
            rows = enumerate(slots.mappings(name))
            return tuple(self._fitting(r, kind, f"/slots/{name}/{i}", placed=True) for i, r in rows)
        if isinstance(node, Scalar):
            return self._named(slots, name, node)
        if isinstance(node, MappingNode):
            given = Reader(node, slots.path_of(name), self._notes.faults)
            return (self._fitting(given, kind, f"/slots/{name}", placed=False),)
        return ()

    def _named(self, slots: Reader, name: str, node: Scalar) -> tuple[Fitting, ...]:
        if node.form == "text":
            return (Fitting("all", node.text, "", {}, None, node.origin),)
        if node.form != "refused":
            advice = f'Put it in quotes: "{node.text}".' if node.form == "number" else ""
            slots.fault(name, described(node), "a part's id, or values under `has`", advice)
        return ()

    def _fitting(self, given: Reader, kind: Kind, pointer: str, *, placed: bool) -> Fitting:
        given.only("part", "name", "has", "fill_from", *(("at",) if placed else ()))
        part = given.optional_text("part")
        if part is None and given.node("has") is None and given.node("fill_from") is None:
            given.fault(None, "neither a part nor values", "`part`, `has`, or both")
        return Fitting(
            at=_position(given),
            part=part,
            name=given.optional_text("name") or "",
            has=self._values(given.mapping("has"), kind, f"{pointer}/has"),
            fill_from=given.optional_text("fill_from"),
            origin=given.origin(),
            unknown=said_unknown(given.node("has"), kind),
        )

    def _values(self, given: Reader | None, kind: Kind, pointer: str) -> dict[str, Value]:
        return read_values(given, kind, self._defaults, self._notes, pointer)


def _position(given: Reader) -> str:
    """Where in its slot: words, or a bare cylinder number."""
    node = given.node("at")
    if isinstance(node, Scalar) and node.form == "number":
        cylinder = given.whole("at", least=1)
        return "all" if cylinder is None else str(cylinder)
    return given.optional_text("at") or "all"


def _acceptances(file: Reader) -> tuple[Acceptance, ...]:
    accepts = tuple(_acceptance(given) for given in file.mappings("accepts"))
    if accepts and file.node("as_of") is None:
        advice = "Acceptances end on a date; without one the same build would answer differently tomorrow."
        file.fault("as_of", "nothing", "the date on which acceptances are judged", advice)
    return accepts


def _acceptance(given: Reader) -> Acceptance:
    given.only("finding", "reason", "by", "until", "at")
    if given.node("until") is None:
        given.fault("until", "nothing", "the last day it holds, as 2026-11-30")
    return Acceptance(
        given.text("finding"),
        given.text("reason"),
        given.text("by"),
        _date(given, "until") or "",
        given.optional_text("at"),
        given.origin("at"),
    )


def _date(given: Reader, key: str) -> str | None:
    text = given.optional_text(key)
    if text is None or _is_date(text):
        return text
    given.fault(key, quoted(text), "a date as 2026-11-30")
    return None


def _is_date(text: str) -> bool:
    if not _DATE.fullmatch(text):
        return False
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True
