"""Fully known engines to compute: a build's corner cases, where something is unknown, and its reference."""

import itertools
import math
import random
from collections.abc import Callable, Collection, Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from upfeed.knowledge.benches import wanting
from upfeed.knowledge.build import Build, Fitted
from upfeed.knowledge.camcards import card_faults, lobes_exist
from upfeed.knowledge.places import places
from upfeed.knowledge.records import Magnitude, Value, Valve
from upfeed.knowledge.vocabulary import Attribute, Kind, Vocabulary
from upfeed.reading.faults import DataFaults

Known = Mapping[str, Magnitude]

MOST_CORNERS = 81
"""More combinations than four measurements have, each low, high and as designed, are sampled."""

_SEED = 20261124
_HALVINGS = 40
_MOST_BEGINNINGS = 1000


Setting = float | str | None
"""What a missing value is set to; None where it can't be set to anything."""


class Missing(Struct, frozen=True):
    """A needed measurement nobody has given: of a slot's part (with its valves), a setting or a point.

    `designed` is the reference's value in its place, None where it has none; `instead` are the attributes that would
    do as well.
    """

    name: str
    slot: str
    at: str
    key: str
    attribute: Attribute
    designed: float | str | None = None
    instead: tuple[str, ...] = ()

    @property
    def ends(self) -> tuple[Setting, ...]:
        """What it is tried at: every choice, or both ends of what is possible and the design's value.

        Flows are monotone in a size, so that its ends bound them; they are not in a place, as a height or an
        offset, where both ends may shut the way and only what lies between opens it. A table is tried at nothing:
        no two of them bound all others.
        """
        if self.attribute.table:
            return (None,)
        if self.attribute.choices:
            return tuple(self.attribute.choices)
        assert self.attribute.possible is not None
        between = () if self.designed is None else (self.designed,)
        return tuple(dict.fromkeys((*self.attribute.possible, *between)))


class Variant(Struct, frozen=True):
    """One engine with every needed value known: per slot one mapping, or one for each valve."""

    slots: dict[str, tuple[Known, ...]]
    settings: Known
    points: dict[str, Known]

    def at(self, slot: str, valve: int) -> Known:
        """Values of what stands in a slot for the valve of this index."""
        row = self.slots[slot]
        return row[valve] if len(row) > 1 else row[0]


class Corners(Struct, frozen=True):
    """The corner cases of a build: which missing values were set to what, and the engines that result.

    `bounding` tells whether what is computed for them bounds what lies between: neither where they are but a
    sample, nor where a place is missing.
    """

    missing: tuple[Missing, ...]
    settings: tuple[tuple[Setting, ...], ...]
    variants: tuple[Variant, ...]
    sampled: bool
    bounding: bool = True

    @property
    def tables(self) -> tuple[str, ...]:
        """Missing tables, without which there is nothing to compute."""
        return tuple(missing.name for missing in self.missing if missing.attribute.table)


def corners(build: Build, vocabulary: Vocabulary) -> Corners:
    """Every combination of what the missing values are tried at.

    Combinations that no cam can be ground to count as far as one can. Raises DataFaults where none can.
    """
    missing = tuple(_missing(build, vocabulary))
    chosen, sampled = _combinations(missing)
    variants = _possible(build, vocabulary, missing, chosen)
    bounding = not sampled and not _lacks_place(build, missing, vocabulary)
    return Corners(missing, chosen, variants, sampled, bounding)


def variant(build: Build) -> Variant:
    """A build in which nothing is missing, as it stands."""
    return _variant(build, ())


def _lacks_place(build: Build, missing: tuple[Missing, ...], vocabulary: Vocabulary) -> bool:
    slots = build.family.plan.slots
    names = {f"{slots[m.slot].kind}.{m.attribute.name}" for m in missing if m.slot in slots}
    return bool(names) and not names.isdisjoint(places(vocabulary))


Settings = tuple[Setting, ...]
"""What each missing value is set to."""


def _combinations(missing: tuple[Missing, ...]) -> tuple[tuple[Settings, ...], bool]:
    ends = [m.ends for m in missing]
    if math.prod(map(len, ends)) <= MOST_CORNERS:
        return tuple(itertools.product(*ends)), False
    drawn = random.Random(_SEED)
    designed = tuple(m.ends[0] if m.designed is None else m.designed for m in missing)
    others = (tuple(drawn.choice(c) for c in ends) for _ in range(MOST_CORNERS - 1))
    return (designed, *others), True


def _possible(
    build: Build, vocabulary: Vocabulary, missing: tuple[Missing, ...], chosen: tuple[Settings, ...]
) -> tuple[Variant, ...]:
    def engine(values: Settings) -> Variant:
        return _variant(build, tuple(zip(missing, values, strict=True)))

    def can_be(values: Settings) -> bool:
        return lobes_exist(build, vocabulary, engine(values).slots)

    sound = next(filter(can_be, itertools.chain(chosen, _inside(missing))), None)
    if sound is None:
        raise DataFaults(card_faults(build, vocabulary))
    if len(chosen) == 1:
        return (engine(sound),)
    return tuple(engine(v if can_be(v) else _farthest(sound, v, can_be)) for v in chosen)


def _inside(missing: tuple[Missing, ...]) -> Iterator[Settings]:
    """Further combinations to begin from, of values between the ends."""
    drawn = random.Random(_SEED)
    for _ in range(_MOST_BEGINNINGS):
        yield tuple(_anywhere(m, drawn) for m in missing)


def _anywhere(missing: Missing, drawn: random.Random) -> Setting:
    ends = missing.attribute.possible
    return drawn.choice(missing.ends) if ends is None else drawn.uniform(*ends)


def _farthest(sound: Settings, wanted: Settings, can_be: Callable[[Settings], bool]) -> Settings:
    """The last combination that can be, on the straight way from one that can to one that can't."""
    reached, beyond = 0.0, 1.0
    for _ in range(_HALVINGS):
        share = (reached + beyond) / 2
        reached, beyond = (share, beyond) if can_be(_between(sound, wanted, share)) else (reached, share)
    return _between(sound, wanted, reached)


def _between(sound: Settings, wanted: Settings, share: float) -> Settings:
    return tuple(
        a + share * (b - a) if isinstance(a, float) and isinstance(b, float) else a
        for a, b in zip(sound, wanted, strict=True)
    )


def _missing(build: Build, vocabulary: Vocabulary) -> Iterator[Missing]:
    for slot in build.family.plan.slots.values():
        row, designed = build.fitted[slot.name], build.designed[slot.name]
        for part in {fitted.key: fitted for fitted in row if fitted}.values():
            at, place = stands_at(build, row, part), row.index(part)
            kind, known = vocabulary.kinds[slot.kind], _known(part.has, {})
            for attribute in lacking(kind, part.has, build.settings, part.unknown):
                lacked = _lacked(attribute, slot.name, at, part.key, _has(designed[place]))
                yield replace(lacked, instead=wanting(kind, known, attribute.name))
    family = build.family
    for attribute in lacking(vocabulary.kinds["settings"], build.settings, build.settings):
        yield _lacked(attribute, "settings", "all", "settings", family.reference.settings)
    for point, values in build.points.items():
        for attribute in lacking(vocabulary.kinds["points"], values, build.settings):
            yield _lacked(attribute, "points", point, f"points.{point}", family.points[point])


def _lacked(attribute: Attribute, slot: str, at: str, key: str, designed: Mapping[str, Value]) -> Missing:
    of = key if slot == "points" else slot
    value = designed.get(attribute.name)
    of_design = value.magnitude if value and not isinstance(value.magnitude, tuple) else None
    return Missing(f"{of}.{attribute.name}", slot, at, key, attribute, of_design)


def _has(fitted: Fitted | None) -> Mapping[str, Value]:
    return fitted.has if fitted else {}


def lacking(
    kind: Kind, has: Mapping[str, Value], settings: Mapping[str, Value], unknown: Collection[str] = ()
) -> list[Attribute]:
    """Attributes that a check under these settings needs and that are not given.

    An empty volume counts as full where nothing is said of it; one said to be `unknown` is needed as any size is.
    """
    chosen = {name: value.magnitude for name, value in has.items()}
    chosen |= {f"settings.{name}": value.magnitude for name, value in settings.items()}
    volumes = kind.volumes.intersection(unknown)
    return [
        a
        for a in kind.attributes.values()
        if a.name not in has and (a.is_needed(chosen) or a.name in volumes)
    ]


def stands_at(build: Build, row: tuple[Fitted | None, ...], part: Fitted) -> str:
    """At which valves a part of a slot's row stands, in words: `all`, `3 intake`."""
    places = [i for i, fitted in enumerate(row) if fitted and fitted.key == part.key]
    return "all" if len(places) == len(row) else valve_names(build, places)


def valve_names(build: Build, indexes: list[int] | tuple[int, ...]) -> str:
    """The shortest plain way to say which valves are meant: `intake`, `3 intake`, `all except 3 intake`."""
    plan = build.family.plan
    named = [plan.valves[i] for i in indexes]
    roles = [(role, [valve for valve in plan.valves if valve[1] == role]) for role in plan.roles]
    for name, group in (*roles, ("all", list(plan.valves))):
        others = [valve for valve in group if valve not in named]
        if set(named) <= set(group) and len(others) < len(named):
            return f"{name} except {_listed(others)}" if others else name
    return _listed(named)


def _listed(valves: list[Valve]) -> str:
    return ", ".join(f"{cylinder} {role}" for cylinder, role in valves)


def _variant(build: Build, filled: tuple[tuple[Missing, Setting], ...]) -> Variant:
    extra: dict[str, dict[str, float | str]] = {}
    for missing, value in filled:
        if value is None:
            continue
        extra.setdefault(missing.key, {})[missing.attribute.name] = value
    fitted = {f.key: f for row in build.fitted.values() for f in row if f}
    known = {key: _known(f.has, extra.get(key, {})) for key, f in fitted.items()}
    slots = {slot: tuple(known[f.key] for f in row if f) for slot, row in build.fitted.items()}
    points = {p: _known(values, extra.get(f"points.{p}", {})) for p, values in build.points.items()}
    return Variant(slots, _known(build.settings, extra.get("settings", {})), points)


def _known(has: Mapping[str, Value], extra: Mapping[str, Magnitude]) -> Known:
    return {name: value.magnitude for name, value in has.items()} | dict(extra)
