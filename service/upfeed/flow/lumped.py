"""A network whose branches each keep but one state: one passage that lets the same oil by as the whole turn does."""

import numpy as np
from msgspec.structs import replace

from upfeed.flow.network import Network
from upfeed.flow.squeeze import SPAN
from upfeed.flow.throughput import throughput
from upfeed.physics.resistance import Resistance, through_two


def lumped(network: Network) -> Network:
    """The network with every branch's turn, and a pair of ways within it, as one passage.

    Source: own derivation, as in `flow.squeeze`: each passage lets the turn's mean by at the highest pressure that
    the pump can hold and at a sixteenth of it, exactly; at other pressures within some hundredths.
    """
    highest = (network.relief_opens + network.inflow / network.relief_slope)[:, None]
    branches, every = throughput(network), network.count.shape
    little, much = (branches.of_turn(np.broadcast_to(p, every))[0] for p in (highest / SPAN, highest))
    series = through_two(highest, little, much, SPAN, network.mu[:, None], network.rho[:, None])
    cases = len(network.mu)
    nothing = Resistance(np.zeros((cases, 0, 1)), np.zeros((cases, 0, 1)))
    return replace(
        network,
        weight=np.ones((*network.count.shape, 1)),
        series=Resistance(series.a[:, :, None], series.b[:, :, None]),
        paired=np.zeros(0, dtype=int),
        first=nothing,
        second=nothing,
    )
