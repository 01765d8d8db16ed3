"""Facts that follow from what is known of a build's parts alone: how they came to be offered, and how well known."""

from collections.abc import Iterator, Mapping
from functools import cached_property

from msgspec import Struct

from upfeed.knowledge.build import Build, Fitted
from upfeed.knowledge.records import Knowledge, Part, Value
from upfeed.knowledge.relations import PartGraph
from upfeed.knowledge.uses import uses
from upfeed.knowledge.vocabulary import Kind, Vocabulary

_NAMED = 3
_LIFTER, _BLOCK, _HEIGHT = "lifter", "block", "gallery_height"
_BANDS = ("band_from", "band_to", "second_band_from", "second_band_to")


class Named(Struct, frozen=True):
    """What is to be said of a part: some of its attributes, and what people call it."""

    name: str
    attributes: tuple[str, ...]


class PartFacts:
    """The facts of a build's parts by their full names; None is unknown."""

    def __init__(self, build: Build, knowledge: Knowledge, vocabulary: Vocabulary) -> None:
        self._build, self._knowledge, self._vocabulary = build, knowledge, vocabulary

    def tells(self, name: str) -> bool:
        """Whether a name is that of a fact told by parts."""
        fact = self._vocabulary.facts.get(name.partition(".")[0])
        return fact is not None and fact.told_by == "parts"

    def value(self, name: str, valve: int) -> float | str | None:
        """A fact for the valve of an index. Raises KeyError for a fact that is not told by parts."""
        fact, _, kind = name.partition(".")
        if fact == "same_envelope":
            return self._same_envelope(kind, valve)
        if fact == "laid_out_gallery_height":
            return self._laid_out(valve)
        if self._build.open_slots:
            return None
        return self._of_all[fact]

    @cached_property
    def _of_all(self) -> Mapping[str, float | str | None]:
        """What is told once of all parts together."""
        usual, supplied = self._usual, self._supplied
        count = float(sum(len(part.attributes) for part in usual))
        untold = not count and self._may_be_usual
        return {
            "usual_values": None if untold else count,
            "usual_values_of": None if untold else "; ".join(map(_listed, usual)),
            "supplied_otherwise": float(len(supplied)),
            "supplied_otherwise_as": "; ".join(map(_listed, supplied)),
        }

    @cached_property
    def _graph(self) -> PartGraph:
        return PartGraph(self._knowledge)

    @cached_property
    def _used(self) -> frozenset[str]:
        return frozenset(uses(self._vocabulary))

    def _chosen(self) -> Iterator[tuple[Kind, Fitted, Fitted]]:
        """Kind, part and the design's part in its place, of every different part that the build names."""
        for slot in self._build.family.plan.slots.values():
            pairs = zip(self._build.fitted[slot.name], self._build.designed[slot.name], strict=True)
            named = {(f.key, d.key): (f, d) for f, d in pairs if f and d and f.chosen}
            kind = self._vocabulary.kinds[slot.kind]
            yield from ((kind, fitted, designed) for fitted, designed in named.values())

    @cached_property
    def _usual(self) -> tuple[Named, ...]:
        """The parts of which the oil feels what is only usual or assumed, and the design does not say it too."""
        found = (Named(f.name, tuple(self._rough(kind, f, d))) for kind, f, d in self._chosen())
        return tuple(part for part in found if part.attributes)

    def _rough(self, kind: Kind, fitted: Fitted, designed: Fitted) -> Iterator[str]:
        chosen = self._choices(fitted)
        for name, value in fitted.has.items():
            counts = kind.attributes[name].is_surely_needed(chosen) and self._is_felt(kind, name)
            if counts and _is_rough(value) and value != designed.has.get(name):
                yield name

    @cached_property
    def _may_be_usual(self) -> bool:
        """Whether something that the oil feels is missing of a part, or counts or not by a choice that is."""
        return any(self._may_be_rough(*one) for one in self._chosen())

    def _may_be_rough(self, kind: Kind, fitted: Fitted, designed: Fitted) -> bool:
        chosen = self._choices(fitted)
        needed = (
            a.name for a in kind.attributes.values() if a.is_needed(chosen) and self._is_felt(kind, a.name)
        )
        values = ((fitted.has.get(name), designed.has.get(name)) for name in needed)
        return any(own is None or (_is_rough(own) and own != design) for own, design in values)

    def _choices(self, fitted: Fitted) -> Mapping[str, object]:
        of_settings = {f"settings.{name}": value.magnitude for name, value in self._build.settings.items()}
        return {name: value.magnitude for name, value in fitted.has.items()} | of_settings

    def _is_felt(self, kind: Kind, name: str) -> bool:
        return f"{kind.name}.{name}" in self._used

    @cached_property
    def _supplied(self) -> tuple[Named, ...]:
        """The parts that the trade hands over for the design's and in which the oil feels a difference."""
        found = (self._handed_over(kind, fitted, designed) for kind, fitted, designed in self._chosen())
        return tuple(part for part in found if part)

    def _handed_over(self, kind: Kind, fitted: Fitted, designed: Fitted) -> Named | None:
        chain = self._graph.substitution(designed.id, fitted.id) if fitted.id != designed.id else ()
        felt = tuple(n for n in fitted.has if self._is_felt(kind, n) and _differs(fitted, designed, n))
        by_way = f" by way of {', '.join(chain[1:-1])}" if chain[1:-1] else ""
        return Named(f"{fitted.name} for {designed.id}{by_way}", felt) if chain and felt else None

    def _same_envelope(self, kind: str, valve: int) -> str | None:
        fitted, designed = (_at(row, kind, valve) for row in (self._build.fitted, self._build.designed))
        if fitted is None or designed is None:
            return None
        alike = fitted.id == designed.id or fitted.id in self._graph.same_envelope(designed.id)
        return "told" if alike and fitted.id and self._as_catalogued(fitted) else "untold"

    def _as_catalogued(self, fitted: Fitted) -> bool:
        return fitted.has == self._knowledge.parts[fitted.id].has

    def _laid_out(self, valve: int) -> float | None:
        """Of several heights that a lifter's number was laid out for, the one nearest to this block's."""
        lifter = _at(self._build.fitted, _LIFTER, valve)
        if lifter is None or not lifter.id:
            return None
        part = self._knowledge.parts[lifter.id]
        if any(lifter.has.get(band) != part.has.get(band) for band in _BANDS):
            return None
        block = _at(self._build.fitted, _BLOCK, valve)
        here = _height(block.has[_HEIGHT].magnitude) if block and _HEIGHT in block.has else None
        heights = sorted(set(self._heights(part)))
        return min(heights, key=lambda height: abs(height - (here or 0.0)), default=None)

    def _heights(self, lifter: Part) -> Iterator[float]:
        """Heights of the galleries in blocks that share them with a lifter, else of those it was designed for."""
        sharing = [self._knowledge.parts[id_] for id_ in self._graph.gallery_height(lifter.id)]
        blocks = [part for part in sharing if part.kind == _BLOCK] or list(self._designed_blocks(lifter))
        for block in blocks:
            height = _height(block.has[_HEIGHT].magnitude) if _HEIGHT in block.has else None
            if height is not None:
                yield height

    def _designed_blocks(self, lifter: Part) -> Iterator[Part]:
        for family in lifter.relations.get("designed_for", ()):
            slots = self._knowledge.families[family].reference.slots
            yield from (self._knowledge.parts[f.part] for f in slots.get(_BLOCK, ()) if f.part)


def _at(rows: dict[str, tuple[Fitted | None, ...]], slot: str, valve: int) -> Fitted | None:
    row = rows.get(slot, (None,))
    return row[valve] if len(row) > 1 else row[0]


def _is_rough(value: Value) -> bool:
    """Usual, or assumed for a reason; what a build gives without a word on how it is known is the build's own."""
    return value.standing == "typical" or (value.standing == "assumed" and bool(value.source))


def _height(magnitude: object) -> float | None:
    return magnitude if isinstance(magnitude, float) else None


def _differs(fitted: Fitted, designed: Fitted, name: str) -> bool:
    return name in designed.has and fitted.has[name].magnitude != designed.has[name].magnitude


def _listed(part: Named) -> str:
    names = [name.replace("_", " ") for name in part.attributes]
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    return f"{part.name} ({', '.join(names[:_NAMED])}{more})"
