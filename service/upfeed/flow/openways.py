"""What stands open in each variant: how many ways lead somewhere, and where the designed way ends."""

from collections.abc import Callable, Sequence
from functools import cache, cached_property

import numpy as np

from upfeed.flow.circuit import Circuit
from upfeed.flow.filling import ways_to_fill
from upfeed.flow.ladder import Rung
from upfeed.flow.plan import Shut
from upfeed.knowledge.records import Valve

Counts = dict[Valve, int]


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
        engines, topology = self._circuit.engines, self._circuit.topology
        return self._counted(
            lambda shut: ways_to_fill(topology, engines.plan, engines.vocabulary.kinds, shut)
        )

    def _counted(self, count: Callable[[frozenset[Shut]], Counts]) -> tuple[Counts, ...]:
        """Counted anew only for variants whose passages are open or shut in another pattern."""
        counted = cache(count)
        return tuple(counted(shut_passages(self._circuit, v)) for v in range(self._circuit.shape[0]))

    def _of(self, counts: tuple[Counts, ...], valve: int) -> tuple[float | None, ...]:
        named = self._circuit.engines.plan.valves[valve]
        return tuple(float(count[named]) if named in count else None for count in counts)


def shut_passages(circuit: Circuit, variant: int) -> frozenset[Shut]:
    """Every passage that is open at no time of the cam's turn."""
    valves = circuit.engines.plan.valves
    return frozenset(
        (stage.way.slot, stage.way.passage, valves[v] if v is not None else None)
        for branch in circuit.branches
        for stage in branch.stages
        if not np.isfinite(stage.first.a[variant]).any()
        and (stage.second is None or not np.isfinite(stage.second.a[variant]).any())
        for v in (branch.valves or (None,))
    )


def ends_at(rungs: Sequence[Rung], variants: int) -> tuple[str | None, ...]:
    """Slot and passage of the first rung that never opens, for each variant; None where all open."""
    return tuple(
        next((f"{rung.slot}.{rung.passage}" for rung in rungs if not rung.opens[variant].any()), None)
        for variant in range(variants)
    )
