"""What stands open in each variant: how many ways lead somewhere, and where the designed way ends."""

from collections.abc import Callable, Sequence
from functools import cached_property

import numpy as np

from upfeed.flow.branches import Branch, Stage
from upfeed.flow.circuit import Circuit
from upfeed.flow.filling import ways_to_fill
from upfeed.flow.ladder import Rung
from upfeed.flow.network import Mask
from upfeed.flow.plan import Counts, Shut


class OpenWays:
    """Ways counted in every variant of a circuit: [V], None where the family has nothing to count."""

    def __init__(self, circuit: Circuit) -> None:
        self._circuit = circuit

    def up(self, valve: int) -> tuple[float | None, ...]:
        """Ways up to the rocker of the valve of this index."""
        return self._of(self._up, valve)

    def to_lifter(self, valve: int) -> tuple[float | None, ...]:
        """Ways to the inside of its lifter."""
        return self._of(self._to_lifter, valve)

    @cached_property
    def _up(self) -> tuple[Counts, ...]:
        return self._counted(self._circuit.topology.ways_up)

    @cached_property
    def _to_lifter(self) -> tuple[Counts, ...]:
        return self._counted(self._filling)

    def _filling(self, shut: frozenset[Shut]) -> Counts:
        engines, topology = self._circuit.engines, self._circuit.topology
        return ways_to_fill(topology, engines.plan, engines.vocabulary.kinds, shut)

    def _counted(self, count: Callable[[frozenset[Shut]], Counts]) -> tuple[Counts, ...]:
        return tuple(self._circuit.topology.counted(shut, count) for shut in self._shut)

    @cached_property
    def _shut(self) -> tuple[frozenset[Shut], ...]:
        return shut_passages(self._circuit)

    def _of(self, counts: tuple[Counts, ...], valve: int) -> tuple[float | None, ...]:
        named = self._circuit.engines.plan.valves[valve]
        return tuple(float(count[named]) if named in count else None for count in counts)


def shut_passages(circuit: Circuit) -> tuple[frozenset[Shut], ...]:
    """Every passage that is open at no time of the cam's turn, variant by variant."""
    stages = [(b, stage) for b in circuit.branches for stage in (*b.stages, *b.side)]
    named = [_passages(circuit, branch, stage) for branch, stage in stages]
    shut = np.stack([_is_shut(stage, circuit.shape[0]) for _, stage in stages], axis=1)
    patterns, of_variant = np.unique(shut, axis=0, return_inverse=True)
    sets = [frozenset().union(*(named[i] for i in np.flatnonzero(pattern))) for pattern in patterns]
    return tuple(sets[i] for i in of_variant.reshape(-1).tolist())


def _passages(circuit: Circuit, branch: Branch, stage: Stage) -> frozenset[Shut]:
    """A stage of a branch, at every valve that the branch serves."""
    valves = circuit.engines.plan.valves
    at = [valves[v] if v is not None else None for v in (branch.valves or (None,))]
    return frozenset((stage.way.slot, stage.way.passage, valve) for valve in at)


def _is_shut(stage: Stage, variants: int) -> Mask:
    """Variants in which neither way of a stage is open at any point or time: [V]."""
    ways = [stage.first] if stage.second is None else [stage.first, stage.second]
    is_open = [np.isfinite(way.a).any(axis=(1, 2)) for way in ways]
    return np.asarray(np.broadcast_to(~np.any(is_open, axis=0), variants))


def ends_at(rungs: Sequence[Rung], variants: int) -> tuple[str | None, ...]:
    """Slot and passage of the first rung that never opens, for each variant; None where all open."""
    return tuple(
        next((f"{rung.slot}.{rung.passage}" for rung in rungs if not rung.opens[variant].any()), None)
        for variant in range(variants)
    )
