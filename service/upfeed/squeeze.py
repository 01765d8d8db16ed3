"""A whole turn of the camshaft, squeezed into a few weighted states that let the same oil by.

The lobe's part of the turn comes in evenly weighted nodes. They are ranked by resistance and averaged in
bins of fixed weight: conductances for the viscous part, their square-root kin for the inertial one. Ranks
and means both rise with every single value, so a way that is narrower at any angle never lets more through.
"""

import numpy as np

from upfeed.resistance import Array, Resistance

BINS = 16
"""States the lobe's part of a turn is squeezed into; within 0.3 % of 720 single angles."""


def squeeze(turn: Resistance) -> Resistance:
    """First node (base circle) kept, the others squeezed: [..., 1 + BINS * n] to [..., 1 + BINS].

    Source: none, own derivation; for b = 0 and for a = 0 the bin's mean flow is exact.
    """
    return Resistance(_binned(turn.a, 1.0), _binned(turn.b, 0.5))


def squeezed_weights(weights: Array) -> Array:
    """Weights of the squeezed states: [..., 1 + BINS * n] to [..., 1 + BINS]."""
    lobe = weights[..., 1:]
    binned = lobe.reshape(*lobe.shape[:-1], BINS, -1).sum(axis=-1)
    return np.concatenate([weights[..., :1], binned], axis=-1)


def _binned(values: Array, power: float) -> Array:
    with np.errstate(divide="ignore"):
        ease = np.sort(values[..., 1:] ** -power, axis=-1)
        mean = ease.reshape(*ease.shape[:-1], BINS, -1).mean(axis=-1)
        binned = mean ** (-1.0 / power)
    return np.concatenate([values[..., :1], binned], axis=-1)
