"""How long the timed passages of a valve stand open over the cam's turn, and when the band leaves the gallery."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from upfeed.flow.branches import Rows, arguments, rows_by_choice
from upfeed.flow.circuit import Circuit
from upfeed.flow.engines import Engines
from upfeed.flow.filling import paths_down
from upfeed.flow.lobes import lobes_of
from upfeed.flow.turns import Turn, base_circle_radius
from upfeed.flow.ways import Chain, Row, Way
from upfeed.physics import timing
from upfeed.physics.resistance import Array

Known = NDArray[np.bool_]

_NO_TURN = Turn(np.ones((1, 1, 1)), {})


def fed_share(circuit: Circuit, valve: int) -> tuple[Array, Known]:
    """Share of the turn in which a band of the way up stands open to the gallery: [V], and where there is one."""
    return _open_share(circuit, valve, _windows(circuit, valve, _whole_turn(circuit.engines, valve)))


def second_fed_share(circuit: Circuit, valve: int) -> tuple[Array, Known]:
    """Share of the turn in which the second band stands open to the gallery: [V], and where there is one."""
    windows = _windows(circuit, valve, _whole_turn(circuit.engines, valve))
    return _open_share(circuit, valve, [window for window in windows if window.at_side])


def rocker_open_share(circuit: Circuit, valve: int) -> tuple[Array, Known]:
    """Share of the turn in which the rocker's and the pushrod's hole overlap: [V]; 0 where there is no hole."""
    share, known = np.zeros(circuit.shape[0]), np.ones(circuit.shape[0], dtype=bool)
    for _, rows, takes in _takes(circuit, valve, "rocker_hole", _whole_turn(circuit.engines, valve)):
        share[rows] = timing.rocker_open_share(**_without(takes, "depth"))[:, 0]
    return share, known


def cut_off_lift(circuit: Circuit, valve: int) -> tuple[Array, Known]:
    """Lifter lift, m, at which the last band of the way up leaves the gallery: [V], and where it does."""
    engines, highest = circuit.engines, lobes_of(circuit.engines, valve).lift()
    lift, known, never = np.zeros(circuit.shape[0]), *np.zeros((2, circuit.shape[0]), dtype=bool)
    windows = _windows(circuit, valve, _whole_turn(engines, valve))
    fed, _ = _open_share(circuit, valve, windows)
    for window in windows:
        cut = timing.cut_off_lift(
            base_circle_radius(engines)[window.rows],
            highest[window.rows],
            **_without(window.takes, "foot", "band_to"),
        )
        # A band that never meets the gallery does not leave it, unless there is no other.
        own, _ = _open_share(circuit, valve, [window])
        counts = ((own > 0) | (fed == 0))[window.rows]
        rows = window.rows[counts]
        lift[rows], known[rows] = np.maximum(lift[rows], cut.lift[counts, 0, 0]), True
        never[rows] |= cut.never[counts, 0, 0]
    return lift, known & ~never


class _Passed(NamedTuple):
    """A passage of a valve's way: whether it is one of a row at the side, the variants it counts in, what it takes."""

    at_side: bool
    rows: Rows
    takes: dict[str, Array | float]


def _open_share(circuit: Circuit, valve: int, windows: Iterable[_Passed]) -> tuple[Array, Known]:
    """Share of the turn in which any of the windows is open: [V], and where there is one."""
    variants = circuit.shape[0]
    open_, known = np.zeros((variants, timing.ANGLES), dtype=bool), np.zeros(variants, dtype=bool)
    for _, rows, takes in windows:
        open_[rows] |= timing.stands_open(**takes)[:, 0]
        known[rows] = True
    return open_.mean(axis=1), known


def _windows(circuit: Circuit, valve: int, turn: Turn) -> list[_Passed]:
    """The windows from the gallery to the bands of a valve's way up, and what their openings take."""
    found = _takes(circuit, valve, "window", turn)
    return [window._replace(takes=_without(window.takes, "bore", "shaft")) for window in found]


def _takes(circuit: Circuit, valve: int, law: str, turn: Turn) -> list[_Passed]:
    """Variants whose way to this valve has a passage of a law, and what the law takes over a turn."""
    engines = circuit.engines
    named = engines.plan.valves[valve]
    paths = (*circuit.topology.paths_to(named), *paths_down(circuit.topology, named))
    return [
        _Passed(at_side, counted, arguments(engines, way, valve, turn, binding, counted))
        for chain in dict.fromkeys(chain for path in paths for chain in path)
        for way, at_side, open_ in _ways(engines, chain, valve)
        for binding, rows in rows_by_choice(engines, way, valve)
        if binding.law == law and len(counted := np.intersect1d(rows, open_))
    ]


def _ways(engines: Engines, chain: Chain, valve: int) -> Iterator[tuple[Way, bool, Rows]]:
    """Every way of a chain, whether it is one at the side, and the variants in which its row leads anywhere."""
    every, (first, last) = np.arange(len(engines.variants)), chain.beside
    main = _leading(engines, chain.ways[first:last], valve)
    for number, way in enumerate(chain.ways):
        yield way, False, main if first <= number < last else every
    side = _leading(engines, chain.side, valve)
    for way in chain.side:
        yield way, True, side


def _leading(engines: Engines, row: Row, valve: int) -> Rows:
    """Variants in which a part shuts no way of a row."""
    leads = np.ones(len(engines.variants), dtype=bool)
    for way in row:
        for binding, rows in rows_by_choice(engines, way, valve):
            leads[rows] &= binding.law != "shut"
    return np.flatnonzero(leads)


def _whole_turn(engines: Engines, valve: int) -> Turn:
    """Lift and foot at even cam angles, as shares of the turn want them."""
    lift = lobes_of(engines, valve).over_turn
    values = {"lift": lift, "foot": base_circle_radius(engines) + lift}
    return Turn(np.full(lift.shape, 1 / timing.ANGLES), values)


def _without(takes: dict[str, Array | float], *names: str) -> dict[str, Array | float]:
    return {name: value for name, value in takes.items() if name not in names}
