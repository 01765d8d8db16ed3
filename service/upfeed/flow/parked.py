"""The oil circuit of an engine that stands still while its pump is turned from outside, as in priming.

Nothing is averaged over a turn: every passage stands as open as it is at a crank position, with its valve's lifter as
high as its lobe holds it there. Nothing but the pump turns: journals draw no oil, bearings leak by pressure alone. The
engine is as warm as preload was set at. As where positions are chosen (`priming`), a band that has left the gallery
counts as shut; what creeps along its land, drops or with worn bores much more, is told by a circuit that lets it.
Source: own derivation, by the running engine's laws and solver.
"""

from collections.abc import Sequence
from functools import partial

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from upfeed.flow.branches import Stage, Staging, arguments, rows_by_choice, staged_branches, together
from upfeed.flow.circuit import Circuit, circuit_of
from upfeed.flow.delivery import as_if_cranked
from upfeed.flow.engines import Engines
from upfeed.flow.journals import is_timed, phase_known, stands_open
from upfeed.flow.lobes import lobes_of
from upfeed.flow.plan import Topology
from upfeed.flow.preload import cold_preload
from upfeed.flow.priming import WINDOW, band_at_gallery
from upfeed.flow.turns import Turn, base_circle_radius
from upfeed.flow.valvetiming import nose_angle
from upfeed.flow.ways import Way
from upfeed.knowledge.variants import Variant
from upfeed.physics.laws import LAWS
from upfeed.physics.resistance import Resistance

Mask = NDArray[np.bool_]
Degrees = NDArray[np.float64]

PUMP_SPEED, OIL_TEMPERATURE = "priming_pump_speed", "priming_oil_temperature"
"""Settings of the one who primes."""


def parked(engines: Engines, topology: Topology, cranks: Sequence[int], *, creeping: bool = False) -> Circuit:
    """Engines held at crank degrees after the firing of cylinder 1, each an operating point named by its number.

    `creeping` lets oil along the land of a band that has left the gallery, as it goes in the running engine.

    Every variant has to tell both settings of priming, and where its lobes and journals stand (`placed`).
    """
    variants = tuple(_standing(variant, cranks) for variant in engines.variants)
    held = Engines(engines.plan, engines.vocabulary, variants, tuple(map(str, cranks)))
    degrees = np.array(cranks, dtype=float)
    every = range(len(held.plan.valves))
    turns = {valve: _held_valve(held, valve, degrees) for valve in every} | {-1: _held_engine(held, degrees)}
    staging = _creeping if creeping else _stage
    branches = staged_branches(held, topology, {valve: valve for valve in every}, turns, staging)
    pump = held.numbers("settings", 0, PUMP_SPEED)[:, :, 0]
    turned = np.broadcast_to(as_if_cranked(held, pump), (len(held.variants), len(cranks)))
    return circuit_of(held, topology, branches, turned)


def placed(engines: Engines, topology: Topology) -> Mask:
    """Variants of which it is known where every lobe and every journal that times a passage stands: [V]."""
    known = np.ones(len(engines.variants), dtype=bool)
    for valve in range(len(engines.plan.valves)):
        known &= nose_angle(engines, valve)[1]
    for way in topology.ways:
        for binding, rows in rows_by_choice(engines, way, _valve(engines, way)):
            if is_timed(binding):
                known[rows] &= phase_known(engines, way, _valve(engines, way))[rows]
    return known


def _valve(engines: Engines, way: Way) -> int:
    return engines.plan.valves.index(way.valve) if way.valve else 0


def _standing(variant: Variant, cranks: Sequence[int]) -> Variant:
    held = {"speed": 0.0, "oil_temperature": variant.settings[OIL_TEMPERATURE]}
    return replace(variant, points={str(crank): held for crank in cranks})


def _held_engine(engines: Engines, crank: Degrees) -> Turn:
    return Turn(np.ones((len(engines.variants), 1, 1)), {"crank": crank[None, :, None]})


def _held_valve(engines: Engines, valve: int, crank: Degrees) -> Turn:
    """One state: the lifter as its lobe holds it, the camshaft turning half as far as the crank."""
    nose, _ = nose_angle(engines, valve)
    lift = lobes_of(engines, valve).lift_at((np.radians(crank) - nose[:, None])[:, :, None] / 2)
    seated = (cold_preload(engines, valve)[0] > 0).astype(float)[:, None, None]
    whole = _held_engine(engines, crank)
    foot, on_base = base_circle_radius(engines) + lift, (lift <= 0).astype(float)
    stands = {"lift": lift, "foot": foot, "base_circle": on_base, "seated": seated}
    return replace(whole, values=whole.values | stands)


def _stage(engines: Engines, way: Way, valve: int, turn: Turn, *, creeping: bool = False) -> Stage:
    laws = []
    for binding, rows in rows_by_choice(engines, way, valve):
        takes = arguments(engines, way, valve, turn, binding, rows)
        if is_timed(binding):
            opened = stands_open(engines, way, valve, binding, rows, turn.values["crank"][0, :, 0])
            # One state: all of it open, or nothing of it.
            takes |= {"open_share": opened[:, :, None].astype(float), "phase": np.full((1, 1, 1), 0.5)}
        law = LAWS[binding.law].function(**takes)
        if binding.law == WINDOW and not creeping:
            assert isinstance(law, Resistance)
            law = Resistance(np.where(band_at_gallery(takes), law.a, np.inf), law.b)
        laws.append((rows, law))
    return together(engines, way, laws)


_creeping: Staging = partial(_stage, creeping=True)
