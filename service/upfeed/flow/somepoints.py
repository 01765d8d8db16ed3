"""A circuit at some of its operating points only."""

from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace

from upfeed.flow.branches import Branch, Stage
from upfeed.flow.circuit import Circuit
from upfeed.flow.network import some_cases
from upfeed.physics.resistance import Array, Resistance


def at_some_points(circuit: Circuit, points: Sequence[int]) -> Circuit:
    """The same engines at the points of these numbers."""
    variants, every = circuit.shape
    cases = (np.arange(variants)[:, None] * every + np.asarray(points, dtype=np.intp)).reshape(-1)
    names = tuple(circuit.engines.points[i] for i in points)
    return replace(
        circuit,
        engines=replace(circuit.engines, points=names, _of_points={}, _where_given={}),
        branches=tuple(_branch(branch, points) for branch in circuit.branches),
        network=some_cases(circuit.network, cases),
    )


def _branch(branch: Branch, points: Sequence[int]) -> Branch:
    values = {name: _of_points(value, points) for name, value in branch.turn.values.items()}
    turn = replace(branch.turn, weight=_of_points(branch.turn.weight, points), values=values)
    stages, side = (tuple(_stage(stage, points) for stage in row) for row in (branch.stages, branch.side))
    return replace(branch, turn=turn, stages=stages, side=side)


def _stage(stage: Stage, points: Sequence[int]) -> Stage:
    second = _law(stage.second, points) if stage.second else None
    return Stage(stage.way, _law(stage.first, points), second)


def _law(law: Resistance, points: Sequence[int]) -> Resistance:
    return Resistance(_of_points(law.a, points), _of_points(law.b, points))


def _of_points(values: Array, points: Sequence[int]) -> Array:
    """[V, P, T] at some points; what is the same at all of them, [V, 1, T], as it is."""
    return values[:, list(points)] if values.shape[1] > 1 else values
