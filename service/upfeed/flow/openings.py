"""How long the timed passages of a valve stand open over the cam's turn, and when the band leaves the gallery."""

import numpy as np
from numpy.typing import NDArray

from upfeed.flow.branches import Rows, arguments, rows_by_choice
from upfeed.flow.circuit import Circuit
from upfeed.flow.engines import Engines
from upfeed.flow.filling import paths_down
from upfeed.flow.lobes import lobes_of
from upfeed.flow.turns import Turn, base_circle_radius
from upfeed.physics import timing
from upfeed.physics.resistance import Array

Known = NDArray[np.bool_]

_NO_TURN = Turn(np.ones((1, 1, 1)), {})


def fed_share(circuit: Circuit, valve: int) -> tuple[Array, Known]:
    """Share of the turn in which the band stands open to the gallery: [V], and where there is such a window."""
    share, known = np.zeros(circuit.shape[0]), np.zeros(circuit.shape[0], dtype=bool)
    for rows, takes in _takes(circuit, valve, "window", _whole_turn(circuit.engines, valve)):
        share[rows] = timing.fed_share(**_without(takes, "bore", "shaft"))[:, 0]
        known[rows] = True
    return share, known


def rocker_open_share(circuit: Circuit, valve: int) -> tuple[Array, Known]:
    """Share of the turn in which the rocker's and the pushrod's hole overlap: [V]; 0 where there is no hole."""
    share, known = np.zeros(circuit.shape[0]), np.ones(circuit.shape[0], dtype=bool)
    for rows, takes in _takes(circuit, valve, "rocker_hole", _whole_turn(circuit.engines, valve)):
        share[rows] = timing.rocker_open_share(**_without(takes, "depth"))[:, 0]
    return share, known


def cut_off_lift(circuit: Circuit, valve: int) -> tuple[Array, Known]:
    """Lifter lift, m, at which the band leaves the gallery: [V], and where it does."""
    engines, lift, known = circuit.engines, np.zeros(circuit.shape[0]), np.zeros(circuit.shape[0], dtype=bool)
    highest = lobes_of(engines, valve).lift()
    for rows, takes in _takes(circuit, valve, "window", _NO_TURN):
        cut = timing.cut_off_lift(
            base_circle_radius(engines)[rows],
            highest[rows],
            **_without(takes, "bore", "shaft", "foot", "band_to"),
        )
        lift[rows], known[rows] = cut.lift[:, 0, 0], ~cut.never[:, 0, 0]
    return lift, known


def _takes(circuit: Circuit, valve: int, law: str, turn: Turn) -> list[tuple[Rows, dict[str, Array | float]]]:
    """Variants whose way to this valve has a passage of a law, and what the law takes over a turn."""
    engines = circuit.engines
    named = engines.plan.valves[valve]
    paths = (*circuit.topology.paths_to(named), *paths_down(circuit.topology, named))
    ways = dict.fromkeys(way for path in paths for chain in path for way in chain.ways)
    return [
        (rows, arguments(engines, way, valve, turn, binding, rows))
        for way in ways
        for binding, rows in rows_by_choice(engines, way, valve)
        if binding.law == law
    ]


def _whole_turn(engines: Engines, valve: int) -> Turn:
    """Lift and foot at even cam angles, as shares of the turn want them."""
    lift = lobes_of(engines, valve).over_turn()
    values = {"lift": lift, "foot": base_circle_radius(engines) + lift}
    return Turn(np.full(lift.shape, 1 / timing.ANGLES), values)


def _without(takes: dict[str, Array | float], *names: str) -> dict[str, Array | float]:
    return {name: value for name, value in takes.items() if name not in names}
