"""Priming with the engine parked: at which crank positions which rockers can be reached by a pump turned from outside.

The crank stands still, so nothing is averaged over the turn: a rocker is reached where every passage on its way stands
open at once. A band that has left the gallery counts as shut, though a little oil creeps along its land.
"""

from collections.abc import Mapping
from functools import cached_property

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from upfeed.flow.branches import arguments, rows_by_choice
from upfeed.flow.circuit import Circuit
from upfeed.flow.engines import Engines
from upfeed.flow.fewest import Chosen, fewest
from upfeed.flow.journals import is_timed, phase_known, stands_open
from upfeed.flow.lobes import lobes_of
from upfeed.flow.turns import Turn, base_circle_radius
from upfeed.flow.valvetiming import nose_angle
from upfeed.flow.ways import Chain, Way
from upfeed.physics import timing
from upfeed.physics.laws import LAWS
from upfeed.physics.resistance import Array, Resistance, Ways

Mask = NDArray[np.bool_]

WINDOW = "window"
"""The law of the way from the gallery into a band."""

POSITIONS = timing.ANGLES
"""Crank positions in two turns, one a degree."""


class Reach(Struct, frozen=True):
    """Where a rocker is reached: crank degrees after the firing of cylinder 1 [V, POSITIONS].

    `share_known` [V]: how much of the turn it is; `placed` [V]: at which positions too.
    """

    open: Mask
    share_known: Mask
    placed: Mask


class Priming:
    """The priming of a circuit's engines."""

    def __init__(self, circuit: Circuit) -> None:
        self._circuit = circuit
        self._classes = circuit.engines.valve_classes()
        self._opened: dict[tuple[int, tuple[tuple[str, str], ...]], _Opened] = {}
        self._reach: dict[int, Reach] = {}

    def share(self, valve: int) -> tuple[Array, Mask]:
        """Share of the crank's positions at which a rocker is reached, 0-1: [V], and where known."""
        reach = self._of(valve)
        return reach.open.mean(axis=1), reach.share_known

    @property
    def count(self) -> tuple[Array, Mask]:
        """The fewest positions that reach all rockers that can be reached: [V], and where the timing is known."""
        known = np.array([chosen is not None for chosen in self.positions])
        return np.array([float(len(chosen or ())) for chosen in self.positions]), known

    @cached_property
    def positions(self) -> tuple[Chosen | None, ...]:
        """Crank degrees after the firing of cylinder 1, each with the valves to look at there; None: not known."""
        reaches = [self._of(valve) for valve in range(len(self._circuit.engines.plan.valves))]
        placed = np.all([reach.placed for reach in reaches], axis=0)
        open_at = np.stack([reach.open for reach in reaches], axis=1)
        return tuple(
            fewest(one) if known else None for one, known in zip(open_at, placed.tolist(), strict=True)
        )

    def _of(self, valve: int) -> Reach:
        if valve not in self._reach:
            engines = self._circuit.engines
            paths = self._circuit.topology.paths_to(engines.plan.valves[valve])
            nothing = np.ones(len(engines.variants), dtype=bool)
            reach = Reach(np.zeros((len(nothing), POSITIONS), dtype=bool), nothing, nothing)
            for path in paths:
                reach = _either(reach, _reached(engines, self._along(path, valve), valve))
            self._reach[valve] = reach
        return self._reach[valve]

    def _along(self, path: tuple[Chain, ...], valve: int) -> "_Opened":
        """The same for every valve with the very same parts, whose ways take the same steps."""
        steps = tuple(step for chain in path for step in chain.steps)
        key = self._classes[valve], steps
        if key not in self._opened:
            self._opened[key] = _opened(self._circuit.engines, path, valve)
        return self._opened[key]


def _either(one: Reach, other: Reach) -> Reach:
    share_known, placed = one.share_known & other.share_known, one.placed & other.placed
    return Reach(one.open | other.open, share_known, placed)


class _Opened(Struct, frozen=True):
    """Where a way stands open: over its own lobe's turn, nose in the middle, and by what a journal times.

    `own` and `timed` [V, POSITIONS]; `phase_known` [V]: whether it is known where in the crank's turn a journal opens.
    """

    own: Mask
    timed: Mask
    phase_known: Mask


def _opened(engines: Engines, path: tuple[Chain, ...], valve: int) -> _Opened:
    ways = [way for chain in path for way in chain.ways]
    stands, at = lobes_of(engines, valve).stands
    turn = _turn(engines, stands)
    own = np.all([_any_row(engines, chain, valve, turn) for chain in path], axis=0)
    return _Opened(own[:, at], *_timed(engines, ways, valve))


def _any_row(engines: Engines, chain: Chain, valve: int, turn: Turn) -> Mask:
    """At which stands of the lifters every passage of some row of a chain is open: [V, S]."""
    open_ = {way: _open(engines, way, valve, turn) for row in chain.rows for way in row}
    opened: Mask = np.any([np.all([open_[way] for way in row], axis=0) for row in chain.rows], axis=0)
    return opened


def _reached(engines: Engines, opened: _Opened, valve: int) -> Reach:
    """A way is reached where both what moves with the valve's own lobe and what a journal times stand open."""
    own, timed = opened.own, opened.timed
    nose, known = nose_angle(engines, valve)
    still = own.all(axis=1) | ~own.any(axis=1)
    untimed = timed.all(axis=1)
    together = _at_crank(own, nose) & timed
    placed = (known | still) & (opened.phase_known | untimed)
    # By how much of the turn two ways overlap hangs on where they stand, unless one of them never changes.
    return Reach(together, placed | still | untimed, placed | ~own.any(axis=1))


def _turn(engines: Engines, lift: Array) -> Turn:
    """Some stands of the lifters; a metering disc is clamped and its notch open."""
    on_base = (lift <= 0).astype(float)
    values = {"lift": lift, "foot": base_circle_radius(engines) + lift, "base_circle": on_base}
    return Turn(np.full(lift.shape, 1 / lift.shape[2]), values | {"seated": np.ones_like(lift)})


def _open(engines: Engines, way: Way, valve: int, turn: Turn) -> Mask:
    """In which states of a turn a passage stands open, a journal's timing left out: [V, S]."""
    states = turn.weight.shape[2]
    opened = np.zeros((len(engines.variants), states), dtype=bool)
    for binding, rows in rows_by_choice(engines, way, valve):
        takes = arguments(engines, way, valve, turn, binding, rows)
        if binding.law == WINDOW:
            opened[rows] = band_at_gallery(takes)[:, 0]
        else:
            opened[rows] = _passes(LAWS[binding.law].function(**takes), (len(rows), states))
    return opened


def band_at_gallery(takes: Mapping[str, Array | float]) -> Mask:
    """Where a window stands open, from what its law takes; one that is covered counts as shut."""
    sizes = {name: value for name, value in takes.items() if name not in ("bore", "shaft")}
    return np.asarray(timing.window_area(**sizes) > 0)


def _passes(law: Resistance | Ways, shape: tuple[int, int]) -> Mask:
    """Whether a law lets oil by, at any of the points it may differ in: [rows, S]."""
    finite = np.zeros((1, 1, 1), dtype=bool)
    for one in law if isinstance(law, Ways) else (law,):
        finite = finite | np.isfinite(one.a)
    return np.broadcast_to(finite.any(axis=1), shape)


def _timed(engines: Engines, ways: list[Way], valve: int) -> tuple[Mask, Mask]:
    """Where the passages that a journal times stand open over the crank's positions, and where their phase is known."""
    opened = np.ones((len(engines.variants), POSITIONS), dtype=bool)
    known = np.ones(len(engines.variants), dtype=bool)
    for way in ways:
        for binding, rows in rows_by_choice(engines, way, valve):
            if is_timed(binding):
                opened[rows] &= stands_open(engines, way, valve, binding, rows, np.arange(float(POSITIONS)))
                known[rows] &= phase_known(engines, way, valve)[rows]
    return opened, known


def _at_crank(own: Mask, nose: Array) -> Mask:
    """From the lobe's own turn to crank positions: half a degree of cam is one of the crank."""
    middle = np.rint(np.degrees(nose)).astype(int)[:, None]
    places = (np.arange(POSITIONS) - middle + POSITIONS // 2) % POSITIONS
    return np.take_along_axis(own, places, axis=1)
