"""Fully known engines to compute: a build's corner cases, where something is unknown, and its reference."""

import itertools
import random
from collections.abc import Iterator, Mapping

from msgspec import Struct

from upfeed.build import Build, Fitted
from upfeed.records import Value
from upfeed.vocabulary import Attribute, Kind, Vocabulary

Known = Mapping[str, float | str]

MOST_CORNERS = 64
"""More unknowns than this many corners can cover are sampled."""

_SEED = 20261124


class Missing(Struct, frozen=True):
    """A needed measurement nobody has given: of a slot's part (with its valves), a setting or a point."""

    name: str
    slot: str
    at: str
    key: str
    attribute: Attribute

    @property
    def ends(self) -> tuple[float | str, ...]:
        """Both ends of what is possible, or every choice."""
        if self.attribute.choices:
            return tuple(self.attribute.choices)
        assert self.attribute.possible is not None
        return self.attribute.possible


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
    """The corner cases of a build: which missing values were set to what, and the engines that result."""

    missing: tuple[Missing, ...]
    settings: tuple[tuple[float | str, ...], ...]
    variants: tuple[Variant, ...]
    sampled: bool


def corners(build: Build, vocabulary: Vocabulary) -> Corners:
    """Every combination of the ends of what is missing; flows are monotone in each, so these bound them."""
    missing = tuple(_missing(build, vocabulary))
    chosen, sampled = _combinations([m.ends for m in missing])
    variants = tuple(_variant(build, tuple(zip(missing, values, strict=True))) for values in chosen)
    return Corners(missing, chosen, variants, sampled)


def variant(build: Build) -> Variant:
    """A build in which nothing is missing, as it stands."""
    return _variant(build, ())


def _combinations(ends: list[tuple[float | str, ...]]) -> tuple[tuple[tuple[float | str, ...], ...], bool]:
    count = 1
    for choice in ends:
        count *= len(choice)
    if count <= MOST_CORNERS:
        return tuple(itertools.product(*ends)), False
    drawn = random.Random(_SEED)
    return tuple(tuple(drawn.choice(c) for c in ends) for _ in range(MOST_CORNERS)), True


def _missing(build: Build, vocabulary: Vocabulary) -> Iterator[Missing]:
    for slot in build.family.plan.slots.values():
        row = build.fitted[slot.name]
        for fitted in dict.fromkeys(f.key for f in row if f):
            part = next(f for f in row if f and f.key == fitted)
            at = _where(build, row, part)
            for attribute in lacking(vocabulary.kinds[slot.kind], part.has):
                yield Missing(f"{slot.name}.{attribute.name}", slot.name, at, part.key, attribute)
    for attribute in lacking(vocabulary.kinds["settings"], build.settings):
        yield Missing(f"settings.{attribute.name}", "settings", "all", "settings", attribute)
    for point, values in build.points.items():
        for attribute in lacking(vocabulary.kinds["points"], values):
            yield Missing(f"points.{point}.{attribute.name}", "points", point, f"points.{point}", attribute)


def lacking(kind: Kind, has: Mapping[str, Value]) -> list[Attribute]:
    """Attributes that a check needs and that are not given."""
    chosen = {name: value.magnitude for name, value in has.items()}
    return [a for a in kind.attributes.values() if a.name not in has and a.is_needed(chosen)]


def _where(build: Build, row: tuple[Fitted | None, ...], part: Fitted) -> str:
    places = [i for i, fitted in enumerate(row) if fitted and fitted.key == part.key]
    return "all" if len(places) == len(row) else valve_names(build, places)


def valve_names(build: Build, indexes: list[int] | tuple[int, ...]) -> str:
    """The shortest plain way to say which valves are meant."""
    valves = build.family.plan.valves
    named = [valves[i] for i in indexes]
    if len(named) == len(valves):
        return "all"
    for role in build.family.plan.roles:
        if named == [valve for valve in valves if valve[1] == role]:
            return role
    return ", ".join(f"{cylinder} {role}" for cylinder, role in named)


def _variant(build: Build, filled: tuple[tuple[Missing, float | str], ...]) -> Variant:
    extra: dict[str, dict[str, float | str]] = {}
    for missing, value in filled:
        extra.setdefault(missing.key, {})[missing.attribute.name] = value
    known: dict[str, Known] = {}
    slots = {
        slot: tuple(known.setdefault(f.key, _known(f.has, extra.get(f.key, {}))) for f in row if f)
        for slot, row in build.fitted.items()
    }
    points = {p: _known(values, extra.get(f"points.{p}", {})) for p, values in build.points.items()}
    return Variant(slots, _known(build.settings, extra.get("settings", {})), points)


def _known(has: Mapping[str, Value], extra: Mapping[str, float | str]) -> Known:
    return {name: value.magnitude for name, value in has.items()} | dict(extra)
