"""A build with every slot filled: what is named, the rest from the family's reference build."""

from collections.abc import Iterator

from msgspec import Struct

from upfeed.faults import DataFaults, Fault, Origin
from upfeed.nearest import did_you_mean
from upfeed.records import BuildSheet, Family, Fitting, Knowledge, Part, Plan, Slot, Value, Valve
from upfeed.vocabulary import Vocabulary


class Fitted(Struct, frozen=True):
    """What stands at a position of a slot, and whether the build chose it or the reference filled it in."""

    id: str
    name: str
    has: dict[str, Value]
    chosen: bool
    key: str


class Build(Struct, frozen=True):
    """Each slot's parts: one where the engine has one, else one a valve in plan order; None where left open."""

    id: str
    name: str
    family: Family
    as_of: str | None
    sheet: BuildSheet
    fitted: dict[str, tuple[Fitted | None, ...]]
    settings: dict[str, Value]
    points: dict[str, dict[str, Value]]

    def at(self, slot: str, valve: int) -> Fitted | None:
        """What stands in a slot for the valve of this index."""
        row = self.fitted[slot]
        return row[valve] if len(row) > 1 else row[0]

    @property
    def open_slots(self) -> tuple[str, ...]:
        """Slots with an empty position."""
        return tuple(slot for slot, row in self.fitted.items() if None in row)


def reference_build(family: Family, knowledge: Knowledge, vocabulary: Vocabulary) -> Build:
    """The family as its designer laid it out. Raises DataFaults."""
    return resolve(family.reference, knowledge, vocabulary)


def resolve(sheet: BuildSheet, knowledge: Knowledge, vocabulary: Vocabulary) -> Build:
    """Fill a sheet up from its family's reference.

    Raises DataFaults with everything wrong: unknown family, slots, parts, positions, points, a part of
    another kind than its slot takes.
    """
    faults: list[Fault] = []
    family = knowledge.families.get(sheet.family)
    if family is None:
        raise DataFaults([_unknown(sheet.origin, "family", sheet.family, list(knowledge.families))])
    filler = _Filler(knowledge, vocabulary, family, faults)
    build = Build(
        id=sheet.id,
        name=sheet.name,
        family=family,
        as_of=sheet.as_of,
        sheet=sheet,
        fitted=filler.fitted(sheet),
        settings=family.reference.settings | sheet.settings,
        points=filler.points(sheet),
    )
    if faults:
        raise DataFaults(faults)
    return build


def positions(at: str, plan: Plan, slot: Slot) -> tuple[int, ...] | None:
    """Indexes that a position means: `all`, `intake`, `3`, `3 intake`; None where it means nothing here."""
    if slot.each == "engine":
        return (0,) if at == "all" else None
    found = tuple(i for i, valve in enumerate(plan.valves) if at == "all" or _names(at, valve))
    return found or None


def _names(at: str, valve: Valve) -> bool:
    cylinder, role = valve
    return at in (role, str(cylinder), f"{cylinder} {role}")


def _unknown(origin: Origin, what: str, word: str, known: list[str]) -> Fault:
    return Fault(origin, what, f"`{word}`", f"a known {what}", did_you_mean(word, known))


class _Filler:
    """Fills slots from the reference, then from the sheet, and notes what does not fit."""

    def __init__(
        self, knowledge: Knowledge, vocabulary: Vocabulary, family: Family, faults: list[Fault]
    ) -> None:
        self._knowledge, self._vocabulary = knowledge, vocabulary
        self._family, self._faults = family, faults

    def fitted(self, sheet: BuildSheet) -> dict[str, tuple[Fitted | None, ...]]:
        plan = self._family.plan
        self._known_slots([*sheet.slots, *sheet.open], sheet.origin)
        return {name: self._row(slot, sheet) for name, slot in plan.slots.items()}

    def points(self, sheet: BuildSheet) -> dict[str, dict[str, Value]]:
        family = self._family.points
        for name in sheet.points:
            if name not in family:
                self._faults.append(_unknown(sheet.origin, "operating point", name, list(family)))
        return {name: values | sheet.points.get(name, {}) for name, values in family.items()}

    def _known_slots(self, names: list[str], origin: Origin) -> None:
        for name in names:
            if name not in self._family.plan.slots:
                self._faults.append(_unknown(origin, "slot", name, list(self._family.plan.slots)))

    def _row(self, slot: Slot, sheet: BuildSheet) -> tuple[Fitted | None, ...]:
        count = len(self._family.plan.valves) if slot.each == "valve" else 1
        row: list[Fitted | None] = [None] * count
        if slot.name in sheet.open:
            return tuple(row)
        for chosen, index, fitting in self._fittings(slot, sheet):
            fitted = self._fit(slot, fitting, chosen, f"{slot.name}#{index}")
            for place in self._places(slot, fitting):
                row[place] = fitted
        return tuple(row)

    def _fittings(self, slot: Slot, sheet: BuildSheet) -> Iterator[tuple[bool, int, Fitting]]:
        reference = self._family.reference.slots.get(slot.name, ())
        named = () if sheet is self._family.reference else sheet.slots.get(slot.name, ())
        for index, fitting in enumerate((*reference, *named)):
            yield index >= len(reference), index, fitting

    def _places(self, slot: Slot, fitting: Fitting) -> tuple[int, ...]:
        places = positions(fitting.at, self._family.plan, slot)
        if places is None:
            roles = ", ".join(self._family.plan.roles)
            takes = (
                f"all, {roles}, a cylinder's number or both (`3 intake`)" if slot.each == "valve" else "all"
            )
            self._faults.append(
                Fault(
                    fitting.origin,
                    f"{slot.name}, at",
                    f"`{fitting.at}`",
                    f"a position of this engine: {takes}",
                )
            )
        return places or ()

    def _fit(self, slot: Slot, fitting: Fitting, chosen: bool, key: str) -> Fitted:
        part = self._part(slot, fitting.part, fitting.origin)
        typical = self._part(slot, fitting.fill_from, fitting.origin)
        has = (typical.has if typical else {}) | (part.has if part else {}) | fitting.has
        name = fitting.name or (part.name if part else f"the {slot.name.replace('_', ' ')} given")
        return Fitted(fitting.part or "", name, has, chosen, key)

    def _part(self, slot: Slot, id_: str | None, origin: Origin) -> Part | None:
        if id_ is None:
            return None
        part = self._knowledge.parts.get(id_)
        if part is None:
            known = [p.id for p in self._knowledge.parts.values() if p.kind == slot.kind]
            self._faults.append(_unknown(origin, f"{slot.kind} part", id_, known))
        elif part.kind != slot.kind:
            self._faults.append(
                Fault(
                    origin, slot.name, f"{id_}, a {part.kind}", f"a {slot.kind}", f"Name a {slot.kind} here."
                )
            )
            return None
        return part
