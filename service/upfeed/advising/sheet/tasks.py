"""What to measure of a build, in the order in which it matters, each with its tool and what to expect."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

from msgspec import Struct

from upfeed.advising.sheet.asking import Bench
from upfeed.advising.sheet.benchsheet import Because, Caught, Task
from upfeed.advising.sheet.catching import caught, engines_oil, own_bench
from upfeed.advising.sheet.pinsteps import Pins, pins
from upfeed.answering.answer import Answer
from upfeed.answering.evidence import quantity
from upfeed.judging.message import System
from upfeed.knowledge.build import Build, Fitted
from upfeed.knowledge.records import Value
from upfeed.knowledge.spreads import half_width
from upfeed.knowledge.variants import valve_names
from upfeed.knowledge.vocabulary import Attribute, Kind, Vocabulary
from upfeed.reading import units

_DRILLED = "drilled"
"""The class of spreads that holes are of."""


class Named(Struct, frozen=True):
    """A value that matters: its slot, its name as answers have it, and why."""

    slot: str
    name: str
    because: Because
    share: float | None


class Tasks:
    """The tasks of a build and its answer."""

    def __init__(
        self, build: Build, answer: Answer, vocabulary: Vocabulary, system: System, bench: Bench
    ) -> None:
        self._build, self._answer = build, answer
        self._vocabulary, self._system, self._bench = vocabulary, system, bench

    def told(self) -> list[Task]:
        """All of them, numbered; a value stands once, however many parts it is asked of."""
        placed = (place for named in self._named() for place in self._places(named))
        return [self._task(i, *place) for i, place in enumerate(placed, start=1)]

    def _named(self) -> list[Named]:
        """What nobody knows, then what the answer hangs on, then the holes on the oil's way, the tightest first."""
        first: dict[str, Named] = {}
        for named in (*self._unknown(), *self._spread(), *self._on_the_way()):
            first.setdefault(named.name, named)
        return list(first.values())

    def _unknown(self) -> Iterator[Named]:
        for unknown in self._answer.unknown:
            if unknown.name != unknown.slot:
                yield Named(unknown.slot, unknown.name, "unknown", None)

    def _spread(self) -> Iterator[Named]:
        for value in self._answer.measure_first:
            if not value.name.startswith("reference."):
                yield Named(value.slot, value.name, "spread", value.share)

    def _on_the_way(self) -> Iterator[Named]:
        shares: dict[str, float | None] = {}
        for rung in self._answer.path:
            if rung.point == self._answer.path[0].point:
                known = [
                    s for s in (rung.share_of_drop.build, shares.get(rung.place)) if isinstance(s, float)
                ]
                shares[rung.place] = max(known, default=None)
        for place in sorted(shares, key=lambda place: -(shares[place] or 0.0)):
            slot, _, passage = place.partition(".")
            for name in _sizes(self._kind(slot), passage):
                if self._is_hole(slot, name) or self._is_caught(slot, name):
                    yield Named(slot, f"{slot}.{name}", "path", shares[place])

    def _kind(self, slot: str) -> Kind:
        kinds, slots = self._vocabulary.kinds, self._build.family.plan.slots
        return kinds[slots[slot].kind if slot in slots else slot]

    def _is_hole(self, slot: str, name: str) -> bool:
        spread = self._vocabulary.spreads.get(f"{self._kind(slot).name}.{name}")
        return spread is not None and spread.name == _DRILLED

    def _is_caught(self, slot: str, name: str) -> bool:
        bench = self._kind(slot).bench
        return bench is not None and name in bench.tells.values()

    def _places(self, named: Named) -> Iterator[tuple[Named, Attribute, Mapping[str, Value], str]]:
        """The parts that a value is asked of, each with its valves; none where no part here has it."""
        attribute = self._kind(named.slot).attributes.get(named.name.rpartition(".")[2])
        if attribute is None:
            return
        for has, at in self._held(named):
            chosen = {name: value.magnitude for name, value in has.items()}
            asked = attribute.name in has or (named.because == "unknown" and attribute.is_needed(chosen))
            if asked or (named.because == "unknown" and not attribute.needed):
                yield named, attribute, has, at

    def _held(self, named: Named) -> Iterator[tuple[Mapping[str, Value], str]]:
        if named.slot == "settings":
            yield self._build.settings, "all"
        elif named.slot == "points":
            for point, values in self._build.points.items():
                if point in named.name.split("."):
                    yield values, "all"
        else:
            for fitted, at in _groups(self._build, named.slot):
                yield fitted.has, at

    def _task(self, number: int, of: Named, attribute: Attribute, has: Mapping[str, Value], at: str) -> Task:
        value, kind = has.get(attribute.name), self._kind(of.slot)
        spread = self._vocabulary.spreads.get(f"{kind.name}.{attribute.name}")
        off = half_width(value, spread) if value else None
        hole = value is not None and off is not None and self._is_hole(of.slot, attribute.name)
        return Task(
            number=number,
            name=of.name,
            at=at,
            because=of.because,
            share=of.share,
            definition=attribute.definition,
            how=attribute.how,
            tool=attribute.tool,
            expected=quantity(of.name, attribute, value, self._system),
            plus_minus=off,
            plus_minus_shown=self._shown(attribute, off),
            pins=_pins(attribute, value, off) if hole else [],
            caught=self._caught(of, attribute, has, off),
        )

    def _caught(
        self, of: Named, attribute: Attribute, has: Mapping[str, Value], off: float | None
    ) -> Caught | None:
        if (
            off is None
            or self._is_hole(of.slot, attribute.name)
            or not self._is_caught(of.slot, attribute.name)
        ):
            return None
        kind = self._kind(of.slot)
        held = own_bench(kind, has) or engines_oil(self._build, self._vocabulary, self._bench)
        return caught(kind, attribute.name, has, off, held, self._system) if held else None

    def _shown(self, attribute: Attribute, off: float | None) -> str | None:
        if not off or attribute.quantity is None:
            return None
        unit = attribute.shown_in if self._system == "shop" else units.shown_in(attribute.shown_in)
        return units.show_difference(off, attribute.quantity, unit, 2)


def _sizes(kind: Kind, passage: str) -> Sequence[str]:
    """The part's own sizes that any law of a passage takes."""
    laws = kind.passages[passage].laws.values()
    named = dict.fromkeys(term for law in laws for term in law.takes.values() if isinstance(term, str))
    return [name for name in named if name in kind.attributes]


def _groups(build: Build, slot: str) -> Iterator[tuple[Fitted, str]]:
    row = build.fitted.get(slot, ())
    for key, fitted in {f.key: f for f in row if f}.items():
        places = [i for i, other in enumerate(row) if other and other.key == key]
        yield fitted, "all" if len(places) == len(row) else valve_names(build, places)


def _pins(attribute: Attribute, value: Value | None, off: float | None) -> list[Pins]:
    assert value is not None
    assert off is not None
    assert isinstance(value.magnitude, float)
    tool: Literal["pin", "drill"] = "drill" if "drill" in attribute.tool else "pin"
    return pins(value.magnitude, off, tool)
