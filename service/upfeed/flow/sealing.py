"""The lands that seal a lifter in its bore at full lift: above its band, and below the gallery."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from upfeed.flow.branches import Rows, arguments, rows_by_choice
from upfeed.flow.circuit import Circuit
from upfeed.flow.lobes import lobes_of
from upfeed.flow.turns import Turn, base_circle_radius
from upfeed.physics.resistance import Array

Known = NDArray[np.bool_]

ABOVE = ("land_above", "land_above_two_bands")
BELOW = ("land_below", "land_below_two_bands")

BY_BAND = "between_band_and_top_of_bore"
BY_FOOT = "between_foot_and_gallery"


class _Land(NamedTuple):
    """A land of a lifter: the variants that have it, its length there, m, and where it lies."""

    rows: Rows
    length: Array
    lies: str


def least_land(circuit: Circuit, valve: int) -> tuple[Array, Known]:
    """The shorter of a lifter's two lands at full lift, m: [V], and where it has any.

    Above: from the upper edge of the band, of two the upper, to the top of the bore. Below: from a flat foot to the
    lower edge of the hole that feeds the band; a cut for a wheel is narrow and seldom faces that hole, so that it
    counts for nothing here. Below zero a land stands open.
    """
    return _shortest(circuit, valve)[0], _has_lands(circuit, valve)


def least_land_lies(circuit: Circuit, valve: int) -> tuple[NDArray[np.str_], Known]:
    """Where the shorter of both lands lies, in one word: [V], and where there is one."""
    return _shortest(circuit, valve)[1], _has_lands(circuit, valve)


def _shortest(circuit: Circuit, valve: int) -> tuple[Array, NDArray[np.str_]]:
    shortest = np.full(circuit.shape[0], np.inf)
    lies = np.full(circuit.shape[0], BY_BAND, dtype="<U40")
    for land in _lands(circuit, valve):
        shorter = land.length < shortest[land.rows]
        rows = land.rows[shorter]
        shortest[rows], lies[rows] = land.length[shorter], land.lies
    return np.where(np.isfinite(shortest), shortest, 0.0), lies


def _has_lands(circuit: Circuit, valve: int) -> Known:
    known = np.zeros(circuit.shape[0], dtype=bool)
    for land in _lands(circuit, valve):
        known[land.rows] = True
    return known


def _lands(circuit: Circuit, valve: int) -> Iterator[_Land]:
    engines, named = circuit.engines, circuit.engines.plan.valves[valve]
    highest = base_circle_radius(engines) + lobes_of(engines, valve).lift()
    lifted = Turn(np.ones((1, 1, 1)), {"foot": highest})
    for way in (way for way in circuit.topology.ways if way.valve == named):
        for binding, rows in rows_by_choice(engines, way, valve):
            if binding.law not in ABOVE + BELOW:
                continue
            takes = arguments(engines, way, valve, lifted, binding, rows)
            if binding.law in ABOVE:
                yield _above(rows, takes)
            elif not np.any(takes.get("wheel_window", 0.0)):
                yield _below(rows, takes)


def _above(rows: Rows, takes: dict[str, Array | float]) -> _Land:
    top = np.maximum(takes["band_to"], takes.get("second_to", takes["band_to"]))
    return _Land(rows, _flat(takes["bore_top"] - (takes["foot"] + top), rows), BY_BAND)


def _below(rows: Rows, takes: dict[str, Array | float]) -> _Land:
    edge = takes["gallery_height"] - np.asarray(takes["gallery_diameter"]) / 2
    return _Land(rows, _flat(edge - takes["foot"], rows), BY_FOOT)


def _flat(length: Array | float, rows: Rows) -> Array:
    """[rows, 1, 1] to [rows]."""
    return np.broadcast_to(length, (len(rows), 1, 1))[:, 0, 0]
