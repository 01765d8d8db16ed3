"""Computed facts as named columns: one entry a variant, the reference last. None is unknown, never zero.

Solved values are rounded once, here, to 8 significant digits, so that neither array layout nor processor
can change a byte of what rules and answers see.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from upfeed.circuit import Circuit
from upfeed.ladder import Rung, ladder
from upfeed.openings import cut_off_lift, fed_share, rocker_open_share
from upfeed.preload import hot_preload
from upfeed.resistance import Array
from upfeed.solve import Solution
from upfeed.truth import Value

Column = tuple[Value, ...]
Known = NDArray[np.bool_]


def rounded(value: float) -> float:
    """To 8 significant digits."""
    return float(f"{value:.8g}")


def column(values: Array, known: Known) -> Column:
    """Rounded entries [V], None where not known."""
    pairs = zip(values.tolist(), known.tolist(), strict=True)
    return tuple(rounded(value) if is_known else None for value, is_known in pairs)


class Facts:
    """The facts of solved circuits, computed as they are asked for. Names are those of the vocabulary."""

    def __init__(self, circuit: Circuit, solution: Solution) -> None:
        self.circuit, self.solution = circuit, solution
        self._points = {name: i for i, name in enumerate(circuit.engines.points)}
        self._solved = solution.converged.reshape(circuit.shape)
        self._ladders: dict[int, tuple[Rung, ...]] = {}
        self._columns: dict[tuple[str, int], Column] = {}

    def column(self, name: str, valve: int = 0) -> Column:
        """A fact by its full name (`gallery_pressure.hot_idle`), for the valve of an index where it has one: [V].

        Raises KeyError for a fact that the vocabulary does not have.
        """
        key = name, valve
        if key not in self._columns:
            self._columns[key] = self._computed(name, valve)
        return self._columns[key]

    def residual(self, point: str) -> float:
        """Worst mass-balance residual of a point over all variants, as a share of the pump's top flow."""
        return float(self.solution.residual.reshape(self.circuit.shape)[:, self._points[point]].max())

    def solved(self, point: str) -> bool:
        """Whether every variant converged at a point."""
        return bool(self._solved[:, self._points[point]].all())

    @property
    def consumers(self) -> tuple[str, ...]:
        """Slot and passage of every way by which oil leaves, in the plan's order."""
        return tuple(dict.fromkeys(self._outlet(i) for i in self._leaving()))

    def rungs(self, valve: int) -> tuple[Rung, ...]:
        """The pressure ladder to a valve."""
        if valve not in self._ladders:
            self._ladders[valve] = ladder(self.circuit, self.solution, valve)
        return self._ladders[valve]

    def _computed(self, name: str, valve: int) -> Column:
        fact, *rest = name.split(".")
        if not rest:
            return self._once(fact, valve)
        point = self._points[rest[-1]]
        if fact == "tightest":
            return self._tightest(valve, point)
        values, known = self._at_points(fact, ".".join(rest[:-1]), valve)
        return column(values[:, point], known[:, point])

    def _at_points(self, fact: str, passage: str, valve: int) -> tuple[Array, Known]:
        match fact:
            case "gallery_pressure":
                return self._pressure(), self._solved
            case "pump_delivery":
                return self._delivery(), self._solved
            case "top_end_flow":
                return self._flow_into("rocker_cover"), self._solved
            case "top_end_share":
                return self._share_of_delivery()
            case "worst_valve_flow":
                return self._worst_valve(), self._solved
            case "valve_flow":
                return self._valve_flow(valve), self._solved
            case "consumer_flow":
                return self._consumer(passage), self._solved
            case "share_of_drop":
                return self._share_of_drop(passage, valve)
            case "hot_preload":
                return hot_preload(self.circuit.engines, valve), np.ones(self.circuit.shape, dtype=bool)
        raise KeyError(fact)

    def _once(self, fact: str, valve: int) -> Column:
        match fact:
            case "ways_up":
                return self._ways_up(valve)
            case "fed_share":
                return column(*fed_share(self.circuit, valve))
            case "cut_off_lift":
                return column(*cut_off_lift(self.circuit, valve))
            case "rocker_open_share":
                return column(*rocker_open_share(self.circuit, valve))
        raise KeyError(fact)

    def _pressure(self) -> Array:
        node = self.circuit.topology.nodes.index(self.circuit.topology.source)
        return self.solution.pressure[:, node].reshape(self.circuit.shape)

    def _delivery(self) -> Array:
        """The pump's slip is the network's last branch."""
        network = self.circuit.network
        delivered = network.inflow - self.solution.flow[:, -1] - self.solution.relief
        return delivered.reshape(self.circuit.shape)

    def _leaving(self, into: str = "") -> Iterator[int]:
        for i, branch in enumerate(self.circuit.branches):
            if branch.chain.head == into or (not into and branch.chain.head not in self.circuit.topology.nodes):
                yield i

    def _outlet(self, branch: int) -> str:
        return ".".join(self.circuit.branches[branch].chain.steps[-1])

    def _flow(self, branches: list[int]) -> Array:
        flows = self.solution.flow[:, branches] * self.circuit.network.count[:, branches]
        return flows.sum(axis=1).reshape(self.circuit.shape)

    def _flow_into(self, space: str) -> Array:
        return self._flow(list(self._leaving(space)))

    def _share_of_delivery(self) -> tuple[Array, Known]:
        delivery = self._delivery()
        known = self._solved & (delivery > 0)
        return self._flow_into("rocker_cover") / np.where(known, delivery, 1.0), known

    def _consumer(self, passage: str) -> Array:
        return self._flow([i for i in self._leaving() if self._outlet(i) == passage])

    def _valve_flow(self, valve: int) -> Array:
        own = [i for i in self._leaving("rocker_cover") if valve in self.circuit.branches[i].valves]
        return self.solution.flow[:, own].sum(axis=1).reshape(self.circuit.shape)

    def _worst_valve(self) -> Array:
        valves = range(len(self.circuit.engines.plan.valves))
        return np.min([self._valve_flow(valve) for valve in valves], axis=0)

    def _share_of_drop(self, passage: str, valve: int) -> tuple[Array, Known]:
        shape = self.circuit.shape
        for rung in self.rungs(valve):
            if f"{rung.slot}.{rung.passage}" == passage:
                return self._shares(rung)
        return np.zeros(shape), np.zeros(shape, dtype=bool)

    def _shares(self, rung: Rung) -> tuple[Array, Known]:
        whole = self._pressure()
        known = self._solved & rung.flows & (whole > 0)
        return rung.drop / np.where(known, whole, 1.0), known

    def _tightest(self, valve: int, point: int) -> Column:
        rungs = self.rungs(valve)
        if not rungs:
            return (None,) * self.circuit.shape[0]
        shares = np.array([self._shares(rung)[0][:, point] for rung in rungs])
        known = np.all([self._shares(rung)[1][:, point] for rung in rungs], axis=0)
        names = [f"{rung.slot}.{rung.passage}" for rung in rungs]
        worst = np.argmax(shares, axis=0)
        return tuple(names[i] if ok else None for i, ok in zip(worst.tolist(), known.tolist(), strict=True))

    def _ways_up(self, valve: int) -> Column:
        """Counted anew only for variants whose passages are open or shut in another pattern."""
        topology, plan = self.circuit.topology, self.circuit.engines.plan
        shut = [self._shut(variant) for variant in range(self.circuit.shape[0])]
        counts = {s: topology.ways_up(lambda way, s=s: (way.slot, way.passage, way.valve) not in s) for s in set(shut)}
        return tuple(float(counts[s][plan.valves[valve]]) for s in shut)

    def _shut(self, variant: int) -> frozenset[tuple[str, str, object]]:
        valves = self.circuit.engines.plan.valves
        return frozenset(
            (stage.way.slot, stage.way.passage, valves[v] if v is not None else None)
            for branch in self.circuit.branches
            for stage in branch.stages
            if not np.isfinite(stage.first.a[variant]).any()
            and (stage.second is None or not np.isfinite(stage.second.a[variant]).any())
            for v in (branch.valves or (None,))
        )
