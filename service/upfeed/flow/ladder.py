"""How the pressure falls on its way from the pump to a rocker, and where oil goes on down, passage by passage."""

from collections.abc import Iterable, Iterator

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from upfeed.flow.branches import Branch, Stage
from upfeed.flow.circuit import Circuit
from upfeed.flow.filling import paths_down
from upfeed.flow.overturn import OverTurn, over_turn
from upfeed.flow.solve import Solution
from upfeed.flow.ways import Chain
from upfeed.physics.resistance import Array

Mask = NDArray[np.bool_]


class Rung(Struct, frozen=True):
    """A passage on the way: pressure ahead of it, Pa, and its drop, Pa.

    All [V, P]. `reached` says where pressure gets so far (beyond a passage that never opens it is not known), `flows`
    where oil flows through; `opens`, [V, 1 or P], whether the passage itself is ever open. Over the turn the drop is
    weighted by the flow, so that the rungs add up to the whole.
    """

    slot: str
    passage: str
    ahead: Array
    drop: Array
    reached: Mask
    flows: Mask
    opens: Mask


def ladder(circuit: Circuit, solution: Solution, valve: int) -> tuple[Rung, ...]:
    """The rungs from the gauge to the rocker of the valve with this index; empty where the plan has no way.

    A passage that the oil goes through at several stations of a gallery is one rung; one in which nothing stands in the
    way, in any engine, is none.

    Of several ways up it is the one by which the reference, the last variant, sends most.
    """
    paths = circuit.topology.paths_to(circuit.engines.plan.valves[valve])
    return _fullest(circuit, solution, paths)


def ladder_down(circuit: Circuit, solution: Solution, valve: int) -> tuple[Rung, ...]:
    """The rungs from the pump by way of the rocker down into the crankcase; empty where the plan has no such way."""
    paths = paths_down(circuit.topology, circuit.engines.plan.valves[valve])
    return _fullest(circuit, solution, paths)


def _fullest(circuit: Circuit, solution: Solution, paths: tuple[tuple[Chain, ...], ...]) -> tuple[Rung, ...]:
    numbers = [[branch_number(circuit, chain) for chain in path] for path in paths]
    if not numbers:
        return ()
    reference = -len(circuit.engines.points)
    fullest = max(numbers, key=lambda path: float(solution.flow[reference, path[-1]]))
    return _gathered(rung for i in fullest for rung in _rungs(circuit, solution, i))


def branch_number(circuit: Circuit, chain: Chain) -> int:
    """Which branch a chain is part of."""
    valves = circuit.engines.plan.valves
    return next(
        number
        for number, branch in enumerate(circuit.branches)
        if (branch.chain.steps, branch.chain.tail, branch.chain.head) == (chain.steps, chain.tail, chain.head)
        and (chain.valve is None or valves.index(chain.valve) in branch.valves)
    )


def _gathered(rungs: Iterable[Rung]) -> tuple[Rung, ...]:
    found: dict[tuple[str, str], Rung] = {}
    for rung in rungs:
        same = found.get((rung.slot, rung.passage))
        found[(rung.slot, rung.passage)] = _both(same, rung) if same else rung
    return tuple(found.values())


def _both(one: Rung, further: Rung) -> Rung:
    """Two stations' rungs as one: pressure ahead of the first, both drops."""
    return replace(
        one,
        drop=one.drop + further.drop,
        reached=one.reached & further.reached,
        flows=one.flows & further.flows,
        opens=one.opens & further.opens,
    )


def _rungs(circuit: Circuit, solution: Solution, number: int) -> Iterator[Rung]:
    branch = circuit.branches[number]
    mu, rho = (x.reshape(*circuit.shape, 1) for x in (circuit.network.mu, circuit.network.rho))
    ahead = _pressure(circuit, solution, branch.chain.tail)
    whole = solution.drop[:, number].reshape(circuit.shape)
    turn = over_turn(branch, whole[:, :, None], mu, rho)
    weighted = branch.turn.weight * turn.through
    total = weighted.sum(axis=2)
    flows = total > 0
    reached = _reached(circuit, solution, branch.chain.tail)
    for stage, drop, taken in _passed(branch, turn, mu, rho):
        if not _resists(stage, taken):
            continue
        mean = np.where(taken, (weighted * drop).sum(axis=2) / np.where(flows, total, 1.0), 0.0)
        opens = _opens(stage) | ~taken
        yield Rung(stage.way.slot, stage.way.passage, ahead, mean, reached, flows, opens)
        ahead, reached = ahead - mean, reached & opens


def _pressure(circuit: Circuit, solution: Solution, node: str) -> Array:
    if node not in circuit.topology.nodes:
        return np.zeros(circuit.shape)
    return solution.pressure[:, circuit.topology.nodes.index(node)].reshape(circuit.shape)


def _reached(circuit: Circuit, solution: Solution, node: str) -> Mask:
    reached: Mask = solution.reached[:, circuit.topology.nodes.index(node)].reshape(circuit.shape)
    return reached


def _passed(branch: Branch, turn: OverTurn, mu: Array, rho: Array) -> Iterator[tuple[Stage, Array, Mask]]:
    """Stages in the oil's order, the drop over each, Pa, and where it is on the way told: [V, 1].

    Of two rows side by side an engine's way is told by the one that carries more of its oil.
    """
    first, last = branch.chain.beside
    every, by_side = np.ones((1, 1), dtype=bool), _by_side(branch, turn)
    for number, stage in enumerate(branch.stages[:last]):
        yield stage, turn.drop(branch, number, mu, rho), ~by_side if number >= first else every
    for stage in branch.side:
        yield stage, turn.side_drop(stage, mu, rho), by_side
    for number, stage in enumerate(branch.stages[last:], last):
        yield stage, turn.drop(branch, number, mu, rho), every


def _by_side(branch: Branch, turn: OverTurn) -> Mask:
    """Engines in which the row at the side carries more than the one it runs beside: [V, 1]."""
    if not branch.side:
        return np.zeros((1, 1), dtype=bool)
    first, last = branch.chain.beside
    main, side = (
        np.all([_opens(stage).any(axis=1) for stage in row], axis=0)
        for row in (branch.stages[first:last], branch.side)
    )
    along, beside = (
        (branch.turn.weight * through).sum(axis=(1, 2)) for through in (turn.along, turn.through - turn.along)
    )
    return np.asarray(side & (~main | (beside > along)))[:, None]


def _resists(stage: Stage, taken: Mask) -> bool:
    """Whether anything stands in the way in an engine whose way is told by this stage."""
    if stage.second is not None:
        return True
    resists = ((stage.first.a != 0) | (stage.first.b != 0)).any(axis=(1, 2))
    return bool((resists & taken[:, 0]).any())


def _opens(stage: Stage) -> Mask:
    """Whether a passage is open in any state of the turn: [V, 1 or P]."""
    opened = np.isfinite(stage.first.a).any(axis=2)
    if stage.second is not None:
        opened = opened | np.isfinite(stage.second.a).any(axis=2)
    return np.asarray(opened)
