"""What pump and pickup deliver at each operating point, and how the relief holds it."""

import numpy as np
from msgspec import Struct

from upfeed.flow.engines import Engines
from upfeed.physics.resistance import Array, Resistance
from upfeed.physics.supply import displaced, most_drawn, slip


class Delivery(Struct, frozen=True):
    """The source of every case [C]: SI.

    `inflow` what reaches the pump's outlet with nothing slipping back, `most` what the pump displaces at its
    fastest point, both m3/s; `slip` the way back inside it; the relief's opening pressure, Pa, and slope, m3/s/Pa.
    """

    inflow: Array
    most: Array
    slip: Resistance
    relief_opens: Array
    relief_slope: Array


def delivery(engines: Engines, speed: Array, mu: Array, rho: Array) -> Delivery:
    """The pump of every variant at every point, driven by a crank's speed, rad/s [V, P].

    With oil of viscosity mu [Pa s] and density rho [kg/m3], [C] each.
    """
    pump = _pump(engines)
    most = displaced(pump["displacement"], pump["drive_ratio"], speed.max(axis=1, keepdims=True))
    cases = [
        np.broadcast_to(pump[name], speed.shape).reshape(-1)
        for name in ("slip", "relief_opens", "relief_slope")
    ]
    return Delivery(
        inflow=inflow_at(engines, speed, mu, rho),
        most=np.broadcast_to(most, speed.shape).reshape(-1),
        slip=slip(cases[0]),
        relief_opens=cases[1],
        relief_slope=cases[2],
    )


def inflow_at(engines: Engines, speed: Array, mu: Array, rho: Array) -> Array:
    """What reaches the pump's outlet with nothing slipping back, m3/s: the lesser of what it moves and can draw: [C].

    `speed` of the crank, rad/s [V, P]; mu [Pa s] and rho [kg/m3] [C].
    """
    pump = _pump(engines)
    moved = displaced(pump["displacement"], pump["drive_ratio"], speed)
    oil = (x.reshape(moved.shape) for x in (mu, rho))
    drawn = most_drawn(pump["pickup_diameter"], pump["pickup_length"], *oil)
    return np.minimum(moved, drawn).reshape(-1)


def as_if_cranked(engines: Engines, pump_speed: Array) -> Array:
    """The speed of a crank, rad/s, that would turn the pump as fast as this, rad/s: [V, P] each."""
    return np.asarray(pump_speed / _pump(engines)["drive_ratio"])


def _pump(engines: Engines) -> dict[str, Array]:
    """What the source takes, by argument: [V, 1]."""
    slot = engines.slot_with("source")
    source = engines.kind(slot).source
    assert source is not None
    return {argument: _of(engines, slot, term) for argument, term in source.takes.items()}


def _of(engines: Engines, slot: str, term: str) -> Array:
    other, _, name = term.rpartition(".")
    return engines.numbers(other or slot, 0, name)[:, :, 0]
