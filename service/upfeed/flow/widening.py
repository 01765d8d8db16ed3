"""By how many per cent the top-end flow grows when a passage's diameter grows by one: d ln Q / d ln d."""

from collections.abc import Iterator

import numpy as np
from msgspec.structs import replace

from upfeed.flow.balance import balance
from upfeed.flow.branches import Branch, rows_by_choice, stage_of
from upfeed.flow.circuit import Circuit, with_branches
from upfeed.flow.network import Mask
from upfeed.flow.reduced import branches_alone
from upfeed.flow.solve import Solution
from upfeed.flow.throughput import throughput
from upfeed.flow.ways import Way
from upfeed.physics.laws import LAWS
from upfeed.physics.resistance import Array
from upfeed.physics.supply import spring_valve

_STEP = 1e-4
"""Share by which a law's diameter is moved up and down; the laws are smooth to its square."""


class Widening:
    """The top-end flow of a solved circuit under small changes of its passages, from the solver's Jacobian."""

    def __init__(self, circuit: Circuit, solution: Solution) -> None:
        self._circuit, self._drop = circuit, solution.drop
        network, of = circuit.network, balance(circuit.network)
        _, slope = of.throughput.at(solution.drop)
        _, rise = spring_valve(
            solution.pressure[:, network.source], network.relief_opens, network.relief_slope
        )
        into = np.array([*(branch.chain.head == "rocker_cover" for branch in circuit.branches), False])
        raised = (network.count * slope * into) @ of.joins.T * of.reached
        lost = np.linalg.solve(of.jacobian(slope, rise), raised[:, :, None])[:, :, 0]
        self._gain: Array = (into - lost @ of.joins) * network.count
        self._top_end = (network.count * solution.flow * into).sum(axis=1).reshape(circuit.shape)

    def exponent(self, slot: str, passage: str, valve: int) -> tuple[Array, Mask]:
        """d ln Q / d ln d of the top-end flow Q and a passage's diameter d: [V, P], and where there is one.

        The passage is as much wider at every valve whose parts are those of the one of this index, and nothing else
        is: a bore that other laws read too stays the same to them. Q ln d by the chain rule: what a branch lets by more
        at the same pressures (its laws put together and squeezed with the diameter moved to both sides), times what
        that leaves of it at the rockers when all pressures have followed (the Jacobian's adjoint).
        """
        shape = self._circuit.shape
        found = list(self._branches(slot, passage, valve))
        has = self._has_diameter(*found[0]) if found else np.zeros(shape[0], dtype=bool)
        if not has.any():
            return np.zeros(shape), np.zeros(shape, dtype=bool)
        numbers = [number for number, _ in found]
        more, less = (self._flow(found, 1 + step) for step in (_STEP, -_STEP))
        change = ((more - less) / (2 * _STEP) * self._gain[:, numbers]).sum(axis=1).reshape(shape)
        known = (self._top_end > 0) & has[:, None]
        return change / np.where(known, self._top_end, 1.0), np.asarray(known)

    def _branches(self, slot: str, passage: str, valve: int) -> Iterator[tuple[int, Way]]:
        own = self._circuit.engines.like(valve)
        for number, branch in enumerate(self._circuit.branches):
            for stage in (*branch.stages, *branch.side):
                named = (stage.way.slot, stage.way.passage) == (slot, passage)
                if named and (branch.chain.valve is None or branch.make[1] == own):
                    yield number, stage.way

    def _flow(self, found: list[tuple[int, Way]], wider: float) -> Array:
        """Flow of one of the branches found, at the pressures there are, with a passage so many times as wide."""
        changed = {number: self._widened(self._circuit.branches[number], way, wider) for number, way in found}
        network = branches_alone(with_branches(self._circuit, changed), list(changed))
        return throughput(network).at(self._drop[:, list(changed)])[0]

    def _widened(self, branch: Branch, way: Way, wider: float) -> Branch:
        valve = max(branch.make[1], 0)
        other = stage_of(self._circuit.engines, way, valve, branch.turn, wider)
        stages, side = (
            tuple(other if stage.way == way else stage for stage in row)
            for row in (branch.stages, branch.side)
        )
        return replace(branch, stages=stages, side=side)

    def _has_diameter(self, number: int, way: Way) -> Mask:
        """Variants in which the law of a passage has a diameter: [V]."""
        has = np.zeros(self._circuit.shape[0], dtype=bool)
        valve = max(self._circuit.branches[number].make[1], 0)
        for binding, rows in rows_by_choice(self._circuit.engines, way, valve):
            has[rows] = LAWS[binding.law].across is not None
        return has
