"""A whole turn of the camshaft, squeezed into a few weighted states that let the same oil by.

The lobe's part of the turn comes in evenly weighted nodes, in the order they are passed. Neighbours are bound in
bins of fixed weight, each with the one passage that lets the same oil by at two pressures. Two passages cross
at one pressure at most, so between those two a way that is narrower at any angle never lets more through.
"""

import numpy as np

from upfeed.physics.branch import flow_through_pair
from upfeed.physics.resistance import Array, Numbers, Resistance, Ways, flow, through_two

BINS = 16
"""States the lobe's part of a turn is squeezed into; within 0.3 % of single angles.

Ways that are shut on the base circle and open for a short part of the turn: within some parts in a hundred.
"""

SPAN = 16.0
"""How many times the lower of the two pressures the upper one is: from a poor idle to the open relief."""


def squeeze(turn: Resistance, pressure: Numbers, mu: Numbers, rho: Numbers) -> Resistance:
    """First node (base circle) kept, the others squeezed: [..., 1 + BINS * n] to [..., 1 + BINS].

    `pressure`, Pa, is the highest that stands over the way; mu in Pa s, rho in kg/m3; [..., 1] each.
    Source: none, own derivation. Exact at `pressure`, at a sixteenth of it, and wherever b = 0 or a = 0.
    """
    lobe = Resistance(turn.a[..., 1:], turn.b[..., 1:])
    little, much = (_binned(flow(dp, lobe, mu, rho)) for dp in (pressure / SPAN, pressure))
    binned = through_two(pressure, little, much, SPAN, mu, rho)
    return Resistance(*(_with_first(whole, part) for whole, part in zip(turn, binned, strict=True)))


def squeeze_beside(
    turn: Resistance, beside: Ways, pressure: Numbers, mu: Numbers, rho: Numbers
) -> Resistance:
    """As `squeeze`, where two ways stand side by side in the row; the first node too becomes one passage.

    Exact at `pressure` and at a sixteenth of it.
    """
    little, much = (
        _states(flow_through_pair(dp, turn, *beside, mu, rho)[0]) for dp in (pressure / SPAN, pressure)
    )
    return through_two(pressure, little, much, SPAN, mu, rho)


def _states(values: Array) -> Array:
    """Whatever is the same all over the turn as it is."""
    return values if values.shape[-1] == 1 else _with_first(values, _binned(values[..., 1:]))


def squeezed_weights(weights: Array) -> Array:
    """Weights of the squeezed states: [..., 1 + BINS * n] to [..., 1 + BINS]; one state alone as it is."""
    if weights.shape[-1] == 1:
        return weights
    lobe = weights[..., 1:]
    binned = lobe.reshape(*lobe.shape[:-1], BINS, -1).sum(axis=-1)
    return np.concatenate([weights[..., :1], binned], axis=-1)


def _binned(values: Array) -> Array:
    means: Array = values.reshape(*values.shape[:-1], BINS, -1).mean(axis=-1)
    return means


def _with_first(whole: Array, part: Array) -> Array:
    first = np.broadcast_to(whole[..., :1], (*part.shape[:-1], 1))
    return np.concatenate([first, part], axis=-1)
