"""Computed facts as named columns: one entry a variant, the reference last. None is unknown, never zero.

Solved values are rounded once, here, to 8 significant digits, so that neither array layout nor processor
can change a byte of what rules and answers see.
"""

from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from upfeed.flow.circuit import Circuit
from upfeed.flow.ladder import Rung, ladder, ladder_down
from upfeed.flow.openings import cut_off_lift, fed_share, rocker_open_share, second_fed_share
from upfeed.flow.openways import OpenWays, ends_at
from upfeed.flow.preload import (
    cold_preload,
    hot_preload,
    plunger_travel_left,
    preload_per_pushrod,
    required_pushrod_length,
)
from upfeed.flow.priming import Priming
from upfeed.flow.returnfacts import RETURN_FACTS
from upfeed.flow.returning import Returned, returning
from upfeed.flow.sealing import least_land, least_land_lies
from upfeed.flow.solve import Solution
from upfeed.flow.starting import Cranked
from upfeed.physics.resistance import Array

Value = float | str | None
"""A fact: a number in SI, a word, or None for unknown."""

Column = tuple[Value, ...]
Known = NDArray[np.bool_]


def rounded(value: float) -> float:
    """To 8 significant digits."""
    return float(f"{value:.8g}")


def column(values: NDArray[Any], known: Known) -> Column:
    """Rounded numbers, or words as they are: [V], None where not known."""
    pairs = zip(values.tolist(), known.tolist(), strict=True)
    if values.dtype.kind == "U":
        return tuple(word if is_known else None for word, is_known in pairs)
    return tuple(rounded(value) if is_known else None for value, is_known in pairs)


_OPENINGS = {
    "fed_share": fed_share,
    "second_fed_share": second_fed_share,
    "cut_off_lift": cut_off_lift,
    "rocker_open_share": rocker_open_share,
    "least_land": least_land,
    "least_land_lies": least_land_lies,
}
_STACKED = {"cold_preload": cold_preload, "preload_per_pushrod": preload_per_pushrod}
_STACKED_AT_POINTS = {
    "hot_preload": hot_preload,
    "plunger_travel_left": plunger_travel_left,
    "required_pushrod_length": required_pushrod_length,
}


class Facts:
    """The facts of solved circuits, computed as they are asked for. Names are those of the vocabulary."""

    def __init__(self, circuit: Circuit, solution: Solution) -> None:
        self.circuit, self.solution = circuit, solution
        self._points = {name: i for i, name in enumerate(circuit.engines.points)}
        self._solved = solution.converged.reshape(circuit.shape)
        self._ladders: dict[int, tuple[Rung, ...]] = {}
        self._ladders_down: dict[int, tuple[Rung, ...]] = {}
        self._columns: dict[tuple[str, int], Column] = {}
        self._of_points: dict[tuple[str, str, int], tuple[NDArray[Any], Known]] = {}

    def column(self, name: str, valve: int = 0) -> Column:
        """A fact by its full name (`gallery_pressure.hot_idle`), for the valve of an index where it has one: [V].

        What only draws tell is unknown.

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

    def known(self, point: int) -> Known:
        """Which variants converged at the point of an index: [V]."""
        return self._solved[:, point]

    @property
    def consumers(self) -> tuple[str, ...]:
        """Slot and passage of every way by which oil leaves, in the plan's order."""
        return tuple(dict.fromkeys(self._outlet(i) for i in self._leaving()))

    def rungs(self, valve: int) -> tuple[Rung, ...]:
        """The pressure ladder up to a valve's rocker."""
        if valve not in self._ladders:
            self._ladders[valve] = ladder(self.circuit, self.solution, valve)
        return self._ladders[valve]

    def rungs_down(self, valve: int) -> tuple[Rung, ...]:
        """Where oil goes on from the rocker into the crankcase, the passages that are not on the way up."""
        up = {(rung.slot, rung.passage) for rung in self.rungs(valve)}
        return tuple(rung for rung in self._all_down(valve) if (rung.slot, rung.passage) not in up)

    def rungs_on(self, valve: int) -> tuple[Rung, ...]:
        """The ladder up, and then what goes on down from the rocker."""
        return (*self.rungs(valve), *self.rungs_down(valve))

    def _all_down(self, valve: int) -> tuple[Rung, ...]:
        if valve not in self._ladders_down:
            self._ladders_down[valve] = ladder_down(self.circuit, self.solution, valve)
        return self._ladders_down[valve]

    def _computed(self, name: str, valve: int) -> Column:
        fact, *rest = name.split(".")
        if self.circuit.engines.vocabulary.facts[fact].told_by == "draws":
            return (None,) * self.circuit.shape[0]
        if not rest:
            return self._once(fact, valve)
        point = self._points[rest[-1]]
        if fact == "tightest":
            return self._tightest(valve, point)
        values, known = self._at_points(fact, ".".join(rest[:-1]), valve)
        return column(values[:, point], known[:, point])

    def _at_points(self, fact: str, passage: str, valve: int) -> tuple[NDArray[Any], Known]:
        """A fact at all points, and where it is known: [V, P] each."""
        key = fact, passage, valve
        if key not in self._of_points:
            values, known = self._found(*key)
            self._of_points[key] = values, known & self._given(fact)
        return self._of_points[key]

    def _found(self, fact: str, passage: str, valve: int) -> tuple[NDArray[Any], Known]:
        if fact == "share_of_drop":
            return self._share_of_drop(passage, valve)
        if fact == "consumer_flow":
            return self._consumer(passage), self._solved
        if fact in RETURN_FACTS:
            values, known = RETURN_FACTS[fact](self.returned)
            return values, known & self._solved
        if fact in _STACKED_AT_POINTS:
            return _STACKED_AT_POINTS[fact](self.circuit.engines, valve)
        return _AT_POINTS[fact](self, valve)

    def _given(self, fact: str) -> Known:
        """Where everything is given that a fact takes beside what a check needs anyway: [V, P]."""
        engines = self.circuit.engines
        given = np.ones(self.circuit.shape, dtype=bool)
        for name in engines.vocabulary.facts[fact].takes:
            given = given & engines.given(name)
        return given

    @cached_property
    def returned(self) -> Returned:
        """Where the oil is on its way down."""
        seeped = self._consumer("lifter.land_above")
        return returning(self.circuit, self._flow_into("rocker_cover"), seeped, self._delivery())

    def _once(self, fact: str, valve: int) -> Column:
        if fact in _ONCE:
            return _ONCE[fact](self, valve)
        if fact in _STACKED:
            return column(*_STACKED[fact](self.circuit.engines, valve))
        return column(*_OPENINGS[fact](self.circuit, valve))

    @cached_property
    def _open_ways(self) -> OpenWays:
        return OpenWays(self.circuit)

    @cached_property
    def priming(self) -> Priming:
        """What can be primed with the engine parked."""
        return Priming(self.circuit)

    @cached_property
    def _filling(self) -> Cranked:
        return Cranked(self.circuit, self.solution)

    def _first_oil(self, valve: int, *, cranked: bool) -> tuple[Array, Known]:
        time, known = self._filling.time(valve)[cranked]
        return time, known & self._solved

    def _pressure(self) -> Array:
        return self._pressure_at(self.circuit.topology.gauge)[0]

    def _pressure_at(self, node: str | None) -> tuple[Array, Known]:
        """Pressure at a node of the plan, and where oil gets to it; nowhere where there is no such node."""
        shape = self.circuit.shape
        if node is None:
            return np.zeros(shape), np.zeros(shape, dtype=bool)
        number = self.circuit.topology.nodes.index(node)
        pressure = self.solution.pressure[:, number].reshape(shape)
        return pressure, self._solved & self.solution.reached[:, number].reshape(shape)

    def _delivery(self) -> Array:
        """The pump's slip is the network's last branch."""
        network = self.circuit.network
        delivered = network.inflow - self.solution.flow[:, -1] - self.solution.relief
        delivery: Array = delivered.reshape(self.circuit.shape)
        return delivery

    def _leaving(self, into: str = "") -> Iterator[int]:
        for i, branch in enumerate(self.circuit.branches):
            if branch.chain.head == into or (
                not into and branch.chain.head not in self.circuit.topology.nodes
            ):
                yield i

    def _outlet(self, branch: int) -> str:
        return ".".join(self.circuit.branches[branch].chain.steps[-1])

    def _flow(self, branches: list[int]) -> Array:
        flows = self.solution.flow[:, branches] * self.circuit.network.count[:, branches]
        total: Array = flows.sum(axis=1).reshape(self.circuit.shape)
        return total

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
        served = [len(self.circuit.branches[i].valves) for i in own]
        flows = self.solution.flow[:, own] * self.circuit.network.count[:, own] / np.array(served)
        flow: Array = flows.sum(axis=1).reshape(self.circuit.shape)
        return flow

    def _worst_valve(self) -> Array:
        valves = range(len(self.circuit.engines.plan.valves))
        least: Array = np.min([self._valve_flow(valve) for valve in valves], axis=0)
        return least

    def _beside_others(self, valve: int) -> tuple[Array, Known]:
        """A valve's oil over the median of all valves."""
        valves = range(len(self.circuit.engines.plan.valves))
        usual = np.median([self._valve_flow(v) for v in valves], axis=0)
        known = self._solved & (usual > 0)
        return self._valve_flow(valve) / np.where(known, usual, 1.0), known

    def _share_of_drop(self, passage: str, valve: int) -> tuple[Array, Known]:
        shape = self.circuit.shape
        for rung in self.rungs_on(valve):
            if f"{rung.slot}.{rung.passage}" == passage:
                return self.shares(rung)
        return np.zeros(shape), np.zeros(shape, dtype=bool)

    def shares(self, rung: Rung) -> tuple[Array, Known]:
        """A rung's share of the pressure drop [V, P], and where oil flows so that there is one."""
        whole = self._pressure()
        known: Known = self._solved & rung.flows & (whole > 0)
        return rung.drop / np.where(known, whole, 1.0), known

    def _tightest(self, valve: int, point: int) -> Column:
        rungs = self.rungs(valve)
        if not rungs:
            return (None,) * self.circuit.shape[0]
        shares = np.array([self.shares(rung)[0][:, point] for rung in rungs])
        known = np.all([self.shares(rung)[1][:, point] for rung in rungs], axis=0)
        names = [f"{rung.slot}.{rung.passage}" for rung in rungs]
        worst = np.argmax(shares, axis=0)
        return tuple(names[i] if ok else None for i, ok in zip(worst.tolist(), known.tolist(), strict=True))


def _settled(of: Callable[[Facts, int], NDArray[Any]]) -> Callable[[Facts, int], tuple[NDArray[Any], Known]]:
    """A fact known wherever the circuit settled."""
    return lambda facts, valve: (of(facts, valve), facts._solved)


def _read_at(place: str) -> Callable[[Facts, int], tuple[NDArray[Any], Known]]:
    """Pressure at the node that a part of the plan calls by this name."""
    return lambda facts, _: facts._pressure_at(facts.circuit.topology.read_at.get(place))


_ONCE: Mapping[str, Callable[[Facts, int], Column]] = {
    "ways_up": lambda facts, valve: facts._open_ways.up(valve),
    "ways_to_lifter": lambda facts, valve: facts._open_ways.to_lifter(valve),
    "way_up_ends_at": lambda facts, valve: ends_at(facts.rungs(valve), facts.circuit.shape[0]),
    "way_down_ends_at": lambda facts, valve: ends_at(facts._all_down(valve), facts.circuit.shape[0]),
    "priming_positions": lambda facts, _: column(*facts.priming.count),
    "primed_share": lambda facts, valve: column(*facts.priming.share(valve)),
}
"""How facts that are true once are found, for the valve of an index: [V]."""

_AT_POINTS: Mapping[str, Callable[[Facts, int], tuple[NDArray[Any], Known]]] = {
    "crank_speed": lambda facts, _: facts.circuit.engines.given_at_points("speed"),
    "gallery_pressure": _settled(lambda facts, _: facts._pressure()),
    "mains_pressure": _read_at("mains"),
    "lifter_gallery_pressure": _read_at("lifter_gallery"),
    "pump_pressure": _settled(lambda facts, _: facts._pressure_at(facts.circuit.topology.source)[0]),
    "pump_delivery": _settled(lambda facts, _: facts._delivery()),
    "top_end_flow": _settled(lambda facts, _: facts._flow_into("rocker_cover")),
    "worst_valve_flow": _settled(lambda facts, _: facts._worst_valve()),
    "valve_flow": _settled(lambda facts, valve: facts._valve_flow(valve)),
    "top_end_share": lambda facts, _: facts._share_of_delivery(),
    "beside_others": lambda facts, valve: facts._beside_others(valve),
    "first_oil": lambda facts, valve: facts._first_oil(valve, cranked=False),
    "first_oil_cranked": lambda facts, valve: facts._first_oil(valve, cranked=True),
}
"""How each fact of a point is found, for the valve of an index: values [V, P] and where they are known."""
