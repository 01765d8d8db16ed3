"""Many known engines of one family side by side, and how their attributes become arrays."""

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from typing import Any, TypeVar

import numpy as np
from msgspec import Struct, field
from numpy.typing import NDArray

from upfeed.flow.squeeze import BINS
from upfeed.knowledge.records import Magnitude, Plan
from upfeed.knowledge.variants import Known, Variant
from upfeed.knowledge.vocabulary import Instead, Kind, Vocabulary
from upfeed.physics.resistance import Array

Key = TypeVar("Key", bound=Hashable)
Made = TypeVar("Made")

LOBE_NODES = 15 * BINS
"""States a lobe's part of the turn is looked at in, one flank standing for both; about a third of a degree each."""


class Engines(Struct, frozen=True):
    """The variants [V] of one family and the operating points [P] they are asked at.

    `lobe_nodes` is how finely each lobe is looked at, a multiple of the states it is squeezed into.
    """

    plan: Plan
    vocabulary: Vocabulary
    variants: tuple[Variant, ...]
    points: tuple[str, ...]
    lobe_nodes: int = LOBE_NODES
    _read: dict[tuple[str, int, str], Array] = field(default_factory=dict)
    _words: dict[tuple[str, int, str], tuple[str, ...]] = field(default_factory=dict)
    _first_alike: dict[str, tuple[int, ...]] = field(default_factory=dict)
    _of_points: dict[str, Array] = field(default_factory=dict)
    _where_given: dict[str, NDArray[np.bool_]] = field(default_factory=dict)
    _worked_out: dict[tuple[object, Hashable], Any] = field(default_factory=dict)

    def once(self, of: Callable[["Engines", Key], Made], key: Key) -> Made:
        """What a pure function makes of these engines and a key, worked out when it is first asked for."""
        if (of, key) not in self._worked_out:
            self._worked_out[of, key] = of(self, key)
        made: Made = self._worked_out[of, key]
        return made

    def kind(self, slot: str) -> Kind:
        """The kind of part a slot takes."""
        return self.vocabulary.kinds[self.plan.slots[slot].kind]

    def slot_with(self, trait: str) -> str:
        """The one slot whose kind has this trait (`source`, `fluid`, `lobes`)."""
        return next(slot for slot in self.plan.slots if getattr(self.kind(slot), trait))

    def words(self, slot: str, valve: int, attribute: str) -> tuple[str, ...]:
        """What each variant has chosen: [V]; nothing where its other choices leave no choice."""
        key = slot, self._place(slot, valve), attribute
        if key not in self._words:
            self._words[key] = tuple(str(known.get(attribute, "")) for known in self._known(slot, valve))
        return self._words[key]

    def has(self, slot: str, valve: int, attribute: str) -> NDArray[np.bool_]:
        """Which variants know an attribute of what stands in a slot at a valve: [V]."""
        return np.array([attribute in known for known in self._known(slot, valve)])

    def numbers(
        self, slot: str, valve: int, attribute: str, rows: NDArray[np.intp] | slice = slice(None)
    ) -> Array:
        """An attribute of what stands in a slot at a valve, or what its name stands for there, SI: [rows, 1, 1]."""
        place = self._place(slot, valve)
        key = slot, place, attribute
        if key not in self._read:
            instead = (self.kind(slot).instead or {}).get(attribute) if slot in self.plan.slots else None
            self._read[key] = _column(self._known(slot, place), attribute, instead)
        return self._read[key][rows]

    def at_points(self, attribute: str) -> Array:
        """An attribute of the operating points, SI: [V, P, 1]."""
        if attribute not in self._of_points:
            rows = [[number(v.points[point][attribute]) for point in self.points] for v in self.variants]
            self._of_points[attribute] = _unwritable(np.array(rows)[:, :, None])
        return self._of_points[attribute]

    def _place(self, slot: str, valve: int) -> int:
        """The first valve with the very same part in a slot, in every variant."""
        if slot == "settings" or len(self.variants[0].slots[slot]) == 1:
            return 0
        if slot not in self._first_alike:
            first: dict[tuple[int, ...], int] = {}
            columns = zip(*([id(part) for part in v.slots[slot]] for v in self.variants), strict=True)
            self._first_alike[slot] = tuple(first.setdefault(ids, i) for i, ids in enumerate(columns))
        return self._first_alike[slot][valve]

    def _known(self, slot: str, valve: int) -> Iterator[Known]:
        return (v.settings if slot == "settings" else v.at(slot, valve) for v in self.variants)

    def given_at_points(self, attribute: str) -> tuple[Array, NDArray[np.bool_]]:
        """An attribute that points may lack, SI, 0 where they do, and where they have it: [V, P] each."""
        rows = [[v.points[point].get(attribute) for point in self.points] for v in self.variants]
        known = np.array([[value is not None for value in row] for row in rows])
        return np.array([[number(value or 0.0) for value in row] for row in rows]), known

    def given(self, name: str) -> NDArray[np.bool_]:
        """Where a value of the whole engine is given, by its full name (`oil_pan.reserve`, `points.speed`): [V, P]."""
        if name not in self._where_given:
            self._where_given[name] = self._given(name)
        return self._where_given[name]

    def _given(self, name: str) -> NDArray[np.bool_]:
        slot, _, attribute = name.partition(".")
        if slot == "points":
            return np.array([[attribute in v.points[point] for point in self.points] for v in self.variants])
        has = [slot in v.slots and self._is_given(slot, attribute, v.at(slot, 0)) for v in self.variants]
        return np.repeat(np.array(has)[:, None], len(self.points), axis=1)

    def _is_given(self, slot: str, attribute: str, known: Known) -> bool:
        """Whether it is known, or counts for nothing under the part's choices."""
        return attribute in known or not self.kind(slot).attributes[attribute].counts(known)

    def valve_classes(self) -> Mapping[int, int]:
        """For each valve the first valve with the very same parts and lobe, in every variant."""
        return self.once(_valve_classes, None)

    def like(self, valve: int) -> int:
        """The first valve with the very same parts and lobe as this one, in every variant."""
        return self.valve_classes()[valve]

    def makeup(self, valve: int) -> tuple[object, ...]:
        """The same for valves with the very same parts and lobe, in every variant."""
        places = (self._place(slot, valve) for slot in self.plan.slots)
        return (self.plan.lobe_of(self.plan.valves[valve][1]), *places)


def _valve_classes(engines: Engines, _: None) -> Mapping[int, int]:
    first: dict[tuple[object, ...], int] = {}
    return {i: first.setdefault(engines.makeup(i), i) for i in range(len(engines.plan.valves))}


def number(magnitude: Magnitude) -> float:
    """A size, SI. Raises TypeError for a table or a word: those are read as what they are."""
    if not isinstance(magnitude, float | int):
        raise TypeError(f"{magnitude!r} is no number")
    return float(magnitude)


def _column(known: Iterable[Known], attribute: str, instead: Instead | None) -> Array:
    """One number a variant: [V, 1, 1]."""

    def name(of: Known) -> str:
        return instead.of[str(of[instead.by])] if instead else attribute

    return _unwritable(np.array([number(k.get(name(k), 0.0)) for k in known])[:, None, None])


def _unwritable(kept: Array) -> Array:
    """What is kept is handed out again, so nobody may write to it."""
    kept.flags.writeable = False
    return kept
