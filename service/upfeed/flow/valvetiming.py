"""Where the crank stands when each valve's lobe is at its middle."""

import numpy as np
from numpy.typing import NDArray

from upfeed.flow.engines import Engines
from upfeed.physics.resistance import Array

Known = NDArray[np.bool_]

TURN = 2 * np.pi


def nose_angle(engines: Engines, valve: int) -> tuple[Array, Known]:
    """Crank angle, rad, after the firing of cylinder 1 at which a valve is lifted furthest: [V], and where known.

    The cylinder's firing, a turn on to the top dead centre that ends its exhaust stroke, and from there on to the
    intake lobe's middle or back to the exhaust lobe's.
    """
    nothing = np.zeros(len(engines.variants)), np.zeros(len(engines.variants), dtype=bool)
    cylinder, role = engines.plan.valves[valve]
    slot = engines.slot_with("lobes")
    centre = (engines.kind(slot).centres or {}).get(engines.plan.lobe_of(role))
    if centre is None or not engines.plan.fires_at:
        return nothing
    apart = engines.numbers(slot, 0, centre.angle)[:, 0, 0]
    fires = engines.plan.fires_at[cylinder - 1]
    return fires + TURN + (apart if centre.after else -apart), engines.has(slot, 0, centre.angle)
