"""A build with every slot filled: what is named, the rest from the family's reference build."""

from collections.abc import Collection

from msgspec import Struct
from msgspec.structs import replace

from upfeed.knowledge.impossible import impossible
from upfeed.knowledge.records import BuildSheet, Family, Fitting, Knowledge, Part, Plan, Slot, Value, Valve
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.knowledge.workedout import over, with_worked_out
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted
from upfeed.reading.nearest import did_you_mean, either


class Fitted(Struct, frozen=True):
    """What stands at a position of a slot, and whether the build chose it or the reference filled it in.

    `unknown` are attributes that somebody wrote down as not known and that nothing else tells.
    """

    id: str
    name: str
    has: dict[str, Value]
    chosen: bool
    key: str
    unknown: tuple[str, ...] = ()


Row = tuple[Fitted | None, ...]
"""What stands in a slot, place by place; None where it was left empty."""


class Build(Struct, frozen=True):
    """Each slot's parts: one where the engine has one, else one a valve in plan order.

    `designed` are those of the family's reference, `fitted` those of the build.
    """

    id: str
    name: str
    family: Family
    as_of: str | None
    sheet: BuildSheet
    designed: dict[str, Row]
    fitted: dict[str, Row]
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
    another kind than its slot takes, two parts in one place.
    """
    faults: list[Fault] = []
    family = knowledge.families.get(sheet.family)
    if family is None:
        raise DataFaults([_unknown(sheet.origin, "family", sheet.family, list(knowledge.families))])
    filler = _Filler(knowledge, vocabulary, family, faults)
    designed = filler.designed()
    build = Build(
        id=sheet.id,
        name=sheet.name,
        family=family,
        as_of=sheet.as_of,
        sheet=sheet,
        designed=designed,
        fitted=filler.fitted(sheet, designed),
        settings=_over(family.reference.settings, sheet.settings, sheet.unknown.get("settings", ())),
        points=filler.points(sheet),
    )
    if faults:
        raise DataFaults(faults)
    return build


def with_part(build: Build, sheet: BuildSheet, slot: str, part: Part) -> Build:
    """A build with a known part as it is at every place of a slot: what resolving `sheet` gives that says so."""
    plain = Fitting("all", part.id, "", {}, None, sheet.origin)
    key = _key(build.family.plan.slots[slot], plain, chosen=True)
    unknown = tuple(name for name in part.unknown if name not in part.has)
    fitted = Fitted(part.id, part.name, part.has, True, key, unknown)
    row = (fitted,) * len(build.fitted[slot])
    return replace(build, sheet=sheet, fitted={**build.fitted, slot: row})


def misfits(sheet: BuildSheet, knowledge: Knowledge, vocabulary: Vocabulary) -> tuple[Fault, ...]:
    """Everything for which a sheet can't be built."""
    try:
        resolve(sheet, knowledge, vocabulary)
    except DataFaults as wrong:
        return wrong.faults
    return ()


def positions(at: str, plan: Plan, slot: Slot) -> tuple[int, ...] | None:
    """Indexes that a position means: `all`, `intake`, `3`, `3 intake`; None where it means nothing here."""
    if at == "all":
        return _all_of(plan, slot)
    named = (i for i, valve in enumerate(plan.valves) if slot.each == "valve" and _names(at, valve))
    return tuple(named) or None


def _all_of(plan: Plan, slot: Slot) -> tuple[int, ...]:
    return tuple(range(len(plan.valves))) if slot.each == "valve" else (0,)


def _names(at: str, valve: Valve) -> bool:
    cylinder, role = valve
    return at in (role, str(cylinder), f"{cylinder} {role}")


def _possible(slot: Slot, plan: Plan) -> str:
    if slot.each == "engine":
        return "all"
    return (
        f"all, {', '.join(plan.roles)}, a cylinder (1 to {plan.cylinders}) or one valve, as 1 {plan.roles[0]}"
    )


def _over(base: dict[str, Value], named: dict[str, Value], unknown: Collection[str]) -> dict[str, Value]:
    """Values over others; those said not to be known are left out."""
    return {name: value for name, value in (base | named).items() if name not in unknown}


def _unknown(origin: Origin, what: str, word: str, known: list[str]) -> Fault:
    return Fault(origin, what, quoted(word), f"a known {what}", did_you_mean(word, known))


class _Filler:
    """Fills slots from the reference, then from the sheet, and notes what does not fit."""

    def __init__(
        self, knowledge: Knowledge, vocabulary: Vocabulary, family: Family, faults: list[Fault]
    ) -> None:
        self._knowledge, self._vocabulary = knowledge, vocabulary
        self._family, self._faults = family, faults

    def designed(self) -> dict[str, Row]:
        """What the reference has in each slot."""
        plan, reference = self._family.plan, self._family.reference.slots
        empty = {name: (None,) * len(_all_of(plan, slot)) for name, slot in plan.slots.items()}
        return {
            name: self._filled(slot, empty[name], reference.get(name, ()), chosen=False)
            for name, slot in plan.slots.items()
        }

    def fitted(self, sheet: BuildSheet, designed: dict[str, Row]) -> dict[str, Row]:
        """What the sheet has in each slot, where it says nothing what the reference has."""
        self._known_slots([*sheet.slots, *sheet.open], sheet.origin)
        if sheet is self._family.reference:
            return designed
        return {
            name: (None,) * len(designed[name])
            if name in sheet.open
            else self._filled(slot, designed[name], sheet.slots.get(name, ()), chosen=True)
            for name, slot in self._family.plan.slots.items()
        }

    def points(self, sheet: BuildSheet) -> dict[str, dict[str, Value]]:
        """The family's points with the sheet's values over theirs."""
        family = self._family.points
        for name in sheet.points:
            if name not in family:
                self._faults.append(_unknown(sheet.origin, "operating point", name, list(family)))
        return {
            name: _over(values, sheet.points.get(name, {}), sheet.unknown.get(name, ()))
            for name, values in family.items()
        }

    def _known_slots(self, names: list[str], origin: Origin) -> None:
        for name in names:
            if name not in self._family.plan.slots:
                self._faults.append(_unknown(origin, "slot", name, list(self._family.plan.slots)))

    def _filled(self, slot: Slot, row: Row, fittings: tuple[Fitting, ...], *, chosen: bool) -> Row:
        """A row with fittings put in, the most particular position last, whatever order they are written in."""
        filled, reach = list(row), dict.fromkeys(range(len(row)), 0)
        placed = [(self._places(slot, fitting), fitting) for fitting in fittings]
        for places, fitting in sorted(placed, key=lambda p: len(p[0]), reverse=True):
            fitted = self._fit(slot, fitting, chosen)
            if any(reach[place] == len(places) for place in places):
                self._second(slot, fitting)
            for place in places:
                filled[place], reach[place] = fitted, len(places)
        return tuple(filled)

    def _places(self, slot: Slot, fitting: Fitting) -> tuple[int, ...]:
        places = positions(fitting.at, self._family.plan, slot)
        if places is None:
            expected = f"a position of this engine: {_possible(slot, self._family.plan)}"
            self._faults.append(Fault(fitting.origin, f"{slot.name}, at", quoted(fitting.at), expected))
        return places or ()

    def _second(self, slot: Slot, fitting: Fitting) -> None:
        found = f"a second {slot.name.replace('_', ' ')} at {fitting.at}"
        self._faults.append(Fault(fitting.origin, f"{slot.name}, at", found, "one part in each place"))

    def _fit(self, slot: Slot, fitting: Fitting, chosen: bool) -> Fitted:
        part = self._part(slot, fitting.part, fitting.origin)
        typical = self._part(slot, fitting.fill_from, fitting.origin)
        has = part.has if part else {}
        if part is None or fitting.has or fitting.unknown or typical:
            # A known part as it is was looked at when it was loaded.
            kind = self._vocabulary.kinds[slot.kind]
            base = over(kind, typical.has, has) if typical else has
            given = over(kind, base, fitting.has, fitting.unknown)
            has = with_worked_out(kind, given, fitting.unknown)
            self._faults.extend(impossible(kind, has, f"{slot.name} {fitting.part or ''}".strip()))
        name = fitting.name or (part.name if part else f"the {slot.name.replace('_', ' ')} given")
        said = dict.fromkeys((*(part.unknown if part else ()), *fitting.unknown))
        unknown = tuple(attribute for attribute in said if attribute not in has)
        return Fitted(fitting.part or "", name, has, chosen, _key(slot, fitting, chosen), unknown)

    def _part(self, slot: Slot, id_: str | None, origin: Origin) -> Part | None:
        if id_ is None:
            return None
        part = self._knowledge.parts.get(id_)
        if part is None:
            self._faults.append(self._no_part(slot, id_, origin))
        elif part.kind != slot.kind:
            found, expected = f"{id_} of kind {part.kind}", f"a part of kind {slot.kind}"
            self._faults.append(Fault(origin, slot.name, found, expected))
            return None
        return part

    def _no_part(self, slot: Slot, id_: str, origin: Origin) -> Fault:
        of_kind = [part for part in self._knowledge.parts.values() if part.kind == slot.kind]
        sold = [part.id for part in of_kind if id_ in part.numbers]
        near = did_you_mean(id_, [part.id for part in of_kind])
        advice = f"{either(sold)} is sold under that number." if sold else near
        return Fault(origin, slot.name, quoted(id_), f"a known part of kind {slot.kind}", advice)


def _key(slot: Slot, fitting: Fitting, chosen: bool) -> str:
    """The same for the same catalogue part; what a build has changed is a part of its own."""
    plain = fitting.part and not (fitting.has or fitting.unknown or fitting.name or fitting.fill_from)
    make = fitting.part if plain else f"at {fitting.at}"
    return f"{slot.name}: {make}, {'chosen' if chosen else 'designed'}"
