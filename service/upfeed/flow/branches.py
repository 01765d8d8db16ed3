"""Every passage's law over the turn of the camshaft, chained up between the nodes of a plan.

Axes: variant V, operating point P (1 where it makes no difference), state T of the turn (1 where it makes none).
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from upfeed.flow.engines import Engines
from upfeed.flow.plan import Topology
from upfeed.flow.turns import Turn, turn_of_engine, turn_of_valve
from upfeed.flow.ways import Chain, Way
from upfeed.knowledge.vocabulary import Binding, Passage
from upfeed.physics.laws import LAWS
from upfeed.physics.resistance import Array, Resistance, Ways

Rows = NDArray[np.intp]
"""Numbers of the variants meant."""


class Stage(NamedTuple):
    """A passage's law over the turn: `first` alone, or with `second` beside it."""

    way: Way
    first: Resistance
    second: Resistance | None


Staging = Callable[[Engines, Way, int, Turn], Stage]
"""How a way becomes a stage, for the first of the valves of a class, over a turn."""

Make = tuple[tuple[tuple[str, str], ...], int]
"""What a chain is made of: the steps it takes, and the first valve with the same parts (-1: the whole engine)."""


class Branch(Struct, frozen=True):
    """Equal chains between the same two nodes: the valves they serve, and their stages over the turn.

    Branches of one `make` have the very same stages. Those of the row at the `side` stand beside the stretch of its
    stages that the chain tells.
    """

    chain: Chain
    valves: tuple[int, ...]
    make: Make
    stages: tuple[Stage, ...]
    turn: Turn
    count: Array
    side: tuple[Stage, ...] = ()


def branches_of(engines: Engines, topology: Topology) -> tuple[Branch, ...]:
    """All chains of the plan with their laws over the turn; equal ones between the same nodes become one branch."""
    classes = engines.valve_classes()
    turns = {first: turn_of_valve(engines, first) for first in set(classes.values())}
    return staged_branches(engines, topology, classes, turns | {-1: turn_of_engine(engines)}, stage_of)


def staged_branches(
    engines: Engines,
    topology: Topology,
    classes: Mapping[int, int],
    turns: Mapping[int, Turn],
    staging: Staging,
) -> tuple[Branch, ...]:
    """All chains of the plan; equal ones of valves of one class, between the same nodes, become one branch.

    `classes` gives each valve the first of its class, `turns` the turn of each first, and of the engine under -1.
    """
    index = {v: i for i, v in enumerate(engines.plan.valves)}
    groups: dict[tuple[Make, str, str], list[Chain]] = {}
    for chain in topology.chains:
        make = (chain.steps, -1 if chain.valve is None else classes[index[chain.valve]])
        groups.setdefault((make, chain.tail, chain.head), []).append(chain)
    stages, sides = (
        {
            make: tuple(staging(engines, way, max(make[1], 0), turns[make[1]]) for way in ways)
            for make, ways in {make: getattr(group[0], of) for (make, _, _), group in groups.items()}.items()
        }
        for of in ("ways", "side")
    )
    return tuple(
        Branch(
            chain=group[0],
            valves=tuple(index[chain.valve] for chain in group if chain.valve),
            make=make,
            stages=stages[make],
            turn=turns[make[1]],
            count=len(group) * _count(engines, group[0], max(make[1], 0)),
            side=sides[make],
        )
        for (make, _, _), group in groups.items()
    )


def _count(engines: Engines, chain: Chain, valve: int) -> Array:
    """How many of the chain a part has side by side (four drillings, five bearings): [V]."""
    total = np.ones((len(engines.variants), 1, 1))
    for way in chain.ways:
        passage = _passage(engines, way)
        if passage.count:
            total = total * engines.numbers(way.slot, valve, passage.count)
    return total[:, 0, 0]


def _passage(engines: Engines, way: Way) -> Passage:
    return engines.kind(way.slot).passages[way.passage]


def stage_of(engines: Engines, way: Way, valve: int, turn: Turn, wider: float = 1.0) -> Stage:
    """Every variant by its own law; a choice of law is made variant by variant.

    `wider`: so many times the diameter it has, where it has one.
    """
    laws = []
    for binding, rows in rows_by_choice(engines, way, valve):
        law, takes = LAWS[binding.law], arguments(engines, way, valve, turn, binding, rows)
        laws.append((rows, law.function(**law.wider(takes, wider))))
    return together(engines, way, laws)


def rows_by_choice(engines: Engines, way: Way, valve: int) -> list[tuple[Binding, Rows]]:
    """The bindings in force for a way, each with the variants it is in force for."""
    return engines.once(_by_choice, (way.slot, way.passage, engines.like(valve)))


def _by_choice(engines: Engines, of: tuple[str, str, int]) -> list[tuple[Binding, Rows]]:
    slot, name, valve = of
    passage = engines.kind(slot).passages[name]
    if not passage.by:
        return [(passage.laws[""], np.arange(len(engines.variants)))]
    chosen = _chosen(engines, passage, slot, valve)
    words = np.array([" ".join(filter(None, of_one)) for of_one in zip(*chosen, strict=True)])
    return [(passage.binding(word), np.flatnonzero(words == word)) for word in dict.fromkeys(words.tolist())]


def _chosen(engines: Engines, passage: Passage, own: str, valve: int) -> Iterator[tuple[str, ...]]:
    """What each variant has chosen of each attribute that a passage's law goes by."""
    for by in passage.by:
        slot, _, name = by.rpartition(".")
        yield engines.words(slot or own, valve, name)


def arguments(
    engines: Engines, way: Way, valve: int, turn: Turn, binding: Binding, rows: Rows
) -> dict[str, Array | float]:
    """What a way's law takes for some of the variants, SI: [rows, 1 or P, 1 or T]."""

    def value(term: str | float) -> Array | float:
        if isinstance(term, float):
            return term
        slot, _, name = term.rpartition(".")
        if slot == "turn":
            return turn.values[name][rows] if name in turn.values else np.zeros((1, 1, 1))
        return engines.numbers(slot or way.slot, valve, name, rows)

    return {argument: value(term) for argument, term in binding.takes.items()}


def together(engines: Engines, way: Way, parts: Sequence[tuple[Rows, Resistance | Ways]]) -> Stage:
    """A way's laws, each of some variants, as one stage of all variants."""
    shape = np.broadcast_shapes((len(engines.variants), 1, 1), *(_tail(law) for _, law in parts))
    first = Resistance(np.empty(shape), np.empty(shape))
    second = Resistance(np.full(shape, np.inf), np.zeros(shape))
    paired = any(isinstance(law, Ways) for _, law in parts)
    for rows, law in parts:
        for into, out in (
            ((first, law.first), (second, law.second)) if isinstance(law, Ways) else ((first, law),)
        ):
            into.a[rows], into.b[rows] = out.a, out.b
    return Stage(way, first, second if paired else None)


def _tail(law: Resistance | Ways) -> tuple[int, ...]:
    """Shape over points and turn; the variants of one choice are fewer than all."""
    laws = law if isinstance(law, Ways) else (law,)
    shape = np.broadcast_shapes((1, 1, 1), *(np.shape(one.a) for one in laws))
    return (1, *shape[1:])
