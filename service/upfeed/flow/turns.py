"""One turn of the camshaft as weighted states: what moves with it, for one valve or for the whole engine."""

import numpy as np
from msgspec import Struct

from upfeed.flow.engines import Engines
from upfeed.flow.lobes import lobes_of
from upfeed.flow.preload import preload_left
from upfeed.flow.squeeze import BINS
from upfeed.physics.resistance import Array

TURN_NODES = 15 * BINS
"""States that a turn of the whole engine is looked at in, beside its first."""


class Turn(Struct, frozen=True):
    """Weights [V, 1, T], the first state being the base circle, and values by name [V, 1 or P, 1 or T]."""

    weight: Array
    values: dict[str, Array]


def turn_of_engine(engines: Engines) -> Turn:
    """Even weights, for passages that do not move with a valve; `phase` runs once from 0 to 1."""
    states = 1 + TURN_NODES
    shape = (len(engines.variants), 1, states)
    phase = (np.arange(states) + 0.5) / states
    return Turn(np.full(shape, 1 / states), {"phase": np.broadcast_to(phase, shape)})


def turn_of_valve(engines: Engines, valve: int) -> Turn:
    """The turn of one valve's lobe: lift, height of the foot, base circle or not, and whether preload is left."""
    lobes, nodes = lobes_of(engines, valve), engines.lobe_nodes
    share = lobes.half_width() / np.pi
    lift = np.concatenate([np.zeros_like(share), lobes.flank(nodes)], axis=-1)
    weight = np.concatenate([1 - share, np.repeat(share / nodes, nodes, axis=-1)], axis=-1)
    on_base = np.zeros_like(lift)
    on_base[..., 0] = 1.0
    seated = (preload_left(engines, valve) > 0).astype(float)[:, :, None]
    foot = base_circle_radius(engines) + lift
    return Turn(weight, {"lift": lift, "foot": foot, "base_circle": on_base, "seated": seated})


def base_circle_radius(engines: Engines) -> Array:
    """Radius of the lobes' base circle, m: [V, 1, 1]."""
    slot = engines.slot_with("lobes")
    name = engines.kind(slot).base_circle
    assert name is not None
    return engines.numbers(slot, 0, name)
