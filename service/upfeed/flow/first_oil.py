"""How soon oil arrives at a rocker, every space on its way standing empty at first.

The front is looked at in a few places of each bore and of each space that a part says it has. With the front at one
of them the circuit is solved anew: the way ends there, in the open, and what lies beyond takes nothing. Ways of the
same steps to other valves fill in step with it; whatever else the pump feeds is full.
Source: own derivation, quasi-steady mass balance of a front (Washburn 1921 for one bore, see `physics.filling`).
"""

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from upfeed.flow.branches import Branch, Stage, arguments, rows_by_choice
from upfeed.flow.circuit import Circuit, stacked, with_branches
from upfeed.flow.engines import LOBE_NODES
from upfeed.flow.ladder import branch_number
from upfeed.flow.lumped import lumped
from upfeed.flow.reduced import reduced
from upfeed.flow.solve import Solution, solve
from upfeed.physics.filling import COARSE, FINE, fronts, time_to_fill
from upfeed.physics.laws import LAWS
from upfeed.physics.resistance import Array, Resistance

Known = NDArray[np.bool_]


class Space(Struct, frozen=True):
    """Something on a way that stands empty: a bore itself, or what lies behind a passage.

    The passage's number in its branch; `along` [V, 1, 1] is 1 in variants in which the front moves through the passage
    itself, so that its friction grows; `volume` [V, 1] in m3; the places at which the front is looked at.
    """

    stage: int
    along: Array
    volume: Array
    fronts: tuple[float, ...]


class Turned(Struct, frozen=True):
    """How an engine is turned: what its pump moves, m3/s [C], and its speed over its point's, [C]."""

    inflow: Array
    speed: Array


class Filling:
    """The filling of a circuit's ways by an engine that is turned in each of several ways.

    `solution`, of the circuit with all full, tells which ways stay shut.
    """

    def __init__(self, circuit: Circuit, solution: Solution, turned: Sequence[Turned]) -> None:
        self._circuit, self._solution, self._turned = circuit, solution, turned
        self._fine = circuit.engines.lobe_nodes >= LOBE_NODES
        self._solved: dict[tuple[object, ...], tuple[Solution, dict[int, int]]] = {}
        self._filled: dict[int, list[tuple[Array, Known]]] = {}

    def time(self, valve: int) -> list[tuple[Array, Known]]:
        """Time, s, until oil stands at the rocker of the valve of this index, by its quickest way: [V, P] an inflow.

        Known where oil comes at all and every state settled.
        """
        circuit = self._circuit
        paths = circuit.topology.paths_to(circuit.engines.plan.valves[valve])
        numbered = [[branch_number(circuit, chain) for chain in path] for path in paths]
        return [self._quickest(numbered, pump) for pump in range(len(self._turned))]

    def _quickest(self, paths: Sequence[Sequence[int]], pump: int) -> tuple[Array, Known]:
        shape = self._circuit.shape
        quickest, known = np.full(shape, np.inf), np.ones(shape, dtype=bool)
        for path in paths:
            time, settled = self._along(path, pump)
            quickest, known = np.minimum(quickest, time), known & settled
        known = known & np.isfinite(quickest)
        return np.where(known, quickest, 0.0), known

    def _along(self, path: Sequence[int], pump: int) -> tuple[Array, Known]:
        time, known = self._to_gallery(pump), np.ones(self._circuit.shape, dtype=bool)
        for number in path:
            taken, settled = self._through(number)[pump]
            time, known = time + taken, known & settled
        arriving = self._solution.flow[:, path[-1]].reshape(self._circuit.shape)
        return np.where(arriving > 0, time, np.inf), known

    def _through(self, number: int) -> list[tuple[Array, Known]]:
        """Time, s, in which a branch is filled, and where it settled: [V, P] an inflow."""
        if number not in self._filled:
            spaces = tuple(_spaces(self._circuit, self._circuit.branches[number]))
            flows, settled = self._flows(number, spaces)
            self._filled[number] = [
                (_time(spaces, into), all_settled) for into, all_settled in zip(flows, settled, strict=True)
            ]
        return self._filled[number]

    def _to_gallery(self, pump: int) -> Array:
        """Time in which the pump fills what lies between it and the gallery; nothing leaks before that: [V, P]."""
        engines = self._circuit.engines
        slot = engines.slot_with("source")
        source = engines.kind(slot).source
        if source is None or source.fills is None:
            return np.zeros(self._circuit.shape)
        volume = engines.numbers(slot, 0, source.fills)[:, :, 0]
        return time_to_fill(volume, [self._turned[pump].inflow.reshape(self._circuit.shape)])

    def _flows(self, number: int, spaces: tuple[Space, ...]) -> tuple[Array, Known]:
        """Flow into one of a branch and where it settled, by turning I and front F, space after space.

        Shapes [I, F, V, P] and [I, V, P].
        """
        if not spaces:
            ways = len(self._turned)
            return np.zeros((ways, 0, *self._circuit.shape)), np.ones((ways, *self._circuit.shape), bool)
        in_step = self._in_step(number)
        key = in_step, tuple((space.stage, space.along.tobytes()) for space in spaces)
        if key not in self._solved:
            self._solved[key] = self._with_fronts(in_step, spaces)
        solution, place = self._solved[key]
        shape = len(self._turned), sum(len(space.fronts) for space in spaces), *self._circuit.shape
        settled: Known = np.all(solution.converged.reshape(shape), axis=1)
        return solution.flow[:, place[number]].reshape(shape), settled

    def _in_step(self, number: int) -> tuple[int, ...]:
        """A branch and those of other valves that consist of the same steps."""
        branches = self._circuit.branches
        if branches[number].chain.head in self._circuit.topology.along:
            return (number,)  # stations fill one after the other
        steps, own = branches[number].chain.steps, branches[number].valves
        alike = [i for i, branch in enumerate(branches) if branch.valves and branch.chain.steps == steps]
        return tuple(alike) if own else (number,)

    def _with_fronts(
        self, in_step: tuple[int, ...], spaces: tuple[Space, ...]
    ) -> tuple[Solution, dict[int, int]]:
        """All places of the front, turned in every way, solved as cases side by side; and where branches stand."""
        branches = self._circuit.branches
        ended = [
            with_branches(self._circuit, {i: _ended(branches[i], space, share) for i in in_step})
            for space in spaces
            for share in space.fronts
        ]
        if not self._fine:
            ended = [lumped(network) for network in ended]
        # A journal draws in step with its speed.
        cases = stacked(
            [
                replace(n, inflow=turned.inflow, drawn=n.drawn * turned.speed[:, None])
                for turned in self._turned
                for n in ended
            ]
        )
        lesser, place = reduced(cases, in_step)
        with_all_full = np.tile(self._solution.pressure, (len(lesser.mu) // len(self._solution.pressure), 1))
        solution = solve(lesser, with_all_full)
        return (solution if solution.converged.all() else solve(lesser)), place


def _time(spaces: tuple[Space, ...], flows: Array) -> Array:
    """Time in which the spaces of a branch are filled one after the other, flows [F, V, P]: [V, P]."""
    time, first = np.zeros(flows.shape[1:]), 0
    for space in spaces:
        last = first + len(space.fronts)
        time, first = time + time_to_fill(space.volume, list(flows[first:last])), last
    return time


def _spaces(circuit: Circuit, branch: Branch) -> Iterator[Space]:
    """What stands empty along a branch, in the oil's order."""
    places = FINE if circuit.engines.lobe_nodes >= LOBE_NODES else COARSE
    for i, stage in enumerate(branch.stages):
        along, volume = _held(circuit, branch, stage)
        if along.any():
            yield Space(i, along, volume, fronts(places))
        behind = _behind(circuit, branch, stage)
        if behind.any():
            yield Space(i, np.zeros_like(along), behind, fronts(1))


def _behind(circuit: Circuit, branch: Branch, stage: Stage) -> Array:
    """What the space behind a passage takes, m3; a space that no value is given of is full: [V, 1]."""
    fills = circuit.engines.kind(stage.way.slot).passages[stage.way.passage].fills
    if fills is None:
        return np.zeros((len(circuit.engines.variants), 1))
    return circuit.engines.numbers(stage.way.slot, _valve(branch), fills)[:, :, 0]


def _held(circuit: Circuit, branch: Branch, stage: Stage) -> tuple[Array, Array]:
    """Variants in which the passage itself takes oil, and how much, m3: [V, 1, 1] and [V, 1]."""
    volume = np.zeros((len(circuit.engines.variants), 1, 1))
    for binding, rows in rows_by_choice(circuit.engines, stage.way, _valve(branch)):
        law = LAWS[binding.law]
        if law.volume:
            takes = arguments(circuit.engines, stage.way, _valve(branch), branch.turn, binding, rows)
            volume[rows] = law.volume(**takes)
    return (volume > 0).astype(float), volume[:, :, 0]


def _valve(branch: Branch) -> int:
    return branch.valves[0] if branch.valves else 0


def _ended(branch: Branch, space: Space, share: float) -> Branch:
    """A branch that ends in the open at its front, a share of the way into a space."""
    last = branch.stages[space.stage]
    friction = np.where(space.along > 0, share, 1.0)
    front = last._replace(first=Resistance(last.first.a * friction, last.first.b))
    chain = replace(branch.chain.up_to(space.stage + 1), head="rocker_cover")
    side = branch.side if chain.side else ()
    return replace(branch, chain=chain, stages=(*branch.stages[: space.stage], front), side=side)
