"""In which parts, settings and operating points two builds differ, value by value."""

from collections.abc import Iterator, Mapping, Sequence

from msgspec.structs import replace

from upfeed.advising.comparing.comparison import SlotDiffers, Standing, ValueDiffers
from upfeed.answering.answer import Quantity
from upfeed.answering.evidence import quantity
from upfeed.judging.message import System
from upfeed.knowledge.build import Build, Fitted
from upfeed.knowledge.records import Value
from upfeed.knowledge.variants import valve_names
from upfeed.knowledge.vocabulary import Attribute, Kind, Vocabulary

OPEN = "left open"
NOT_GIVEN = "not given"

Pair = tuple[Fitted | None, Fitted | None]


class Differing:
    """What differs between two builds, in one system of units."""

    def __init__(self, first: Build, second: Build, vocabulary: Vocabulary, system: System) -> None:
        self._first, self._second = first, second
        self._vocabulary, self._system = vocabulary, system

    def slots(self) -> Iterator[SlotDiffers]:
        """Slots of either build, those of the first in its order, with all valves alike told as one."""
        for slot in dict.fromkeys((*self._first.fitted, *self._second.fitted)):
            if slot not in self._second.fitted or slot not in self._first.fitted:
                yield from self._only_in_one(slot)
            elif self._valve_by_valve(slot):
                yield from self._at_like_valves(slot)
            else:
                yield from self._as_wholes(slot)

    def settings(self) -> list[ValueDiffers]:
        """Settings that differ."""
        kind = self._vocabulary.kinds["settings"]
        return list(self._values("settings", kind, self._first.settings, self._second.settings))

    def points(self) -> list[ValueDiffers]:
        """What operating points of both builds hold otherwise."""
        kind, one, other = self._vocabulary.kinds["points"], self._first.points, self._second.points
        shared = [point for point in one if point in other]
        return [d for p in shared for d in self._values(f"points.{p}", kind, one[p], other[p])]

    def _valve_by_valve(self, slot: str) -> bool:
        """Whether the places of a slot are the same in both."""
        plans = (self._first.family.plan, self._second.family.plan)
        rows = [build.fitted[slot] for build in (self._first, self._second)]
        return all(len(row) == 1 for row in rows) or plans[0].valves == plans[1].valves

    def _at_like_valves(self, slot: str) -> Iterator[SlotDiffers]:
        pairs = list(zip(self._first.fitted[slot], self._second.fitted[slot], strict=True))
        places: list[tuple[Pair, list[int]]] = []
        for place, pair in enumerate(pairs):
            alike = next((told for known, told in places if known == pair), None)
            if alike is None:
                places.append((pair, [place]))
            else:
                alike.append(place)
        for (one, other), told in places:
            at = "all" if len(told) == len(pairs) else valve_names(self._first, told)
            yield from self._differing(slot, (one, at), (other, at))

    def _as_wholes(self, slot: str) -> Iterator[SlotDiffers]:
        """Engines with other valves: set beside one another where each has one part throughout, else listed."""
        one, other = _groups(self._first, slot), _groups(self._second, slot)
        if len(one) == len(other) == 1:
            yield from self._differing(slot, one[0], other[0])
        else:
            yield from self._only_in_one(slot)

    def _only_in_one(self, slot: str) -> Iterator[SlotDiffers]:
        for fitted, at in _groups(self._first, slot):
            yield SlotDiffers(slot, _standing(fitted, at), None, "first", [])
        for fitted, at in _groups(self._second, slot):
            yield SlotDiffers(slot, None, _standing(fitted, at), "second", [])

    def _differing(
        self, slot: str, one: tuple[Fitted | None, str], other: tuple[Fitted | None, str]
    ) -> Iterator[SlotDiffers]:
        kind = self._vocabulary.kinds[self._first.family.plan.slots[slot].kind]
        values = list(self._values(slot, kind, one[0].has, other[0].has)) if one[0] and other[0] else []
        if values or _named(one[0]) != _named(other[0]):
            yield SlotDiffers(slot, _standing(*one), _standing(*other), None, values)

    def _values(
        self, path: str, kind: Kind, one: Mapping[str, Value], other: Mapping[str, Value]
    ) -> Iterator[ValueDiffers]:
        for name, attribute in kind.attributes.items():
            own = one.get(name), other.get(name)
            same = _magnitude(own[0]) == _magnitude(own[1])
            if not same or _spread(own[0]) != _spread(own[1]):
                first, second = (self._quantity(f"{path}.{name}", attribute, has) for has in (one, other))
                yield ValueDiffers(f"{path}.{name}", same, first, second)

    def _quantity(self, path: str, attribute: Attribute, has: Mapping[str, Value]) -> Quantity:
        """What a check can do without, by the part's other choices, is not given rather than not known."""
        told = quantity(path, attribute, has.get(attribute.name), self._system)
        chosen = {name: value.magnitude for name, value in has.items()}
        idle = attribute.name not in has and not attribute.is_needed(chosen)
        return replace(told, shown=NOT_GIVEN) if idle else told


def _groups(build: Build, slot: str) -> Sequence[tuple[Fitted | None, str]]:
    """What stands in a slot, each once, and at which valves; nothing where the engine has no such slot."""
    row, found = build.fitted.get(slot, ()), list[tuple[Fitted | None, str]]()
    for fitted in row:
        if all(fitted != known for known, _ in found):
            places = [place for place, other in enumerate(row) if other == fitted]
            found.append((fitted, "all" if len(places) == len(row) else valve_names(build, places)))
    return found


def _standing(fitted: Fitted | None, at: str) -> Standing:
    if fitted is None:
        return Standing(at, None, OPEN, chosen=True)
    return Standing(at, fitted.id or None, fitted.name, fitted.chosen)


def _named(fitted: Fitted | None) -> tuple[str, str] | None:
    return (fitted.id, fitted.name) if fitted else None


def _magnitude(value: Value | None) -> object:
    return value.magnitude if value else None


def _spread(value: Value | None) -> object:
    return (value.standing, value.plus_minus) if value else None
