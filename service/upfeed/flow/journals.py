"""Passages that a turning journal opens and shuts: where in the crank's two turns they stand open."""

import numpy as np
from numpy.typing import NDArray

from upfeed.flow.branches import Rows, arguments
from upfeed.flow.engines import Engines
from upfeed.flow.turns import Turn
from upfeed.flow.ways import Way
from upfeed.knowledge.vocabulary import Binding
from upfeed.physics import timing
from upfeed.physics.resistance import Array

Mask = NDArray[np.bool_]

CYCLE = timing.ANGLES
"""Crank degrees in which every journal has come round."""


def is_timed(binding: Binding) -> bool:
    """Whether a passage under this binding is opened by a journal for a share of the turn."""
    return "open_share" in binding.takes


def stands_open(engines: Engines, way: Way, valve: int, binding: Binding, rows: Rows, crank: Array) -> Mask:
    """Whether a timed way is open in some variants at crank degrees after the firing of cylinder 1: [rows, crank].

    From where it is said to open on, else as if from 0.
    """
    takes = arguments(engines, way, valve, Turn(np.ones((1, 1, 1)), {}), binding, rows)
    share = np.broadcast_to(takes["open_share"], (len(rows), 1, 1))[:, 0]
    opens_at = _opens_at(engines, way)
    begins = engines.numbers(way.slot, valve, opens_at, rows)[:, 0] if opens_at else np.zeros((1, 1))
    opened: Mask = (crank - np.degrees(begins)) % CYCLE < share * CYCLE
    return opened


def phase_known(engines: Engines, way: Way, valve: int) -> Mask:
    """Variants that say at which crank angle a timed way opens: [V]."""
    opens_at = _opens_at(engines, way)
    nowhere = np.zeros(len(engines.variants), dtype=bool)
    return engines.has(way.slot, valve, opens_at) if opens_at else nowhere


def _opens_at(engines: Engines, way: Way) -> str | None:
    return engines.kind(way.slot).passages[way.passage].opens_at
