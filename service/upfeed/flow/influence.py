"""How much of a number's spread each drawn value is answerable for. Arrays only, one row a value, one column a draw."""

import numpy as np

from upfeed.physics.resistance import Array

_MOST = 20
_NOTHING = 1e-12
_CERTAIN = 15.0
"""F of one more value that counts: by chance the best of a hundred that have no part reaches it once in forty times."""


def variance_shares(drawn: Array, number: Array) -> Array:
    """The share of the variance of a number's ranks, 0-1, that each of the drawn values [I, N] explains: [I].

    Squared standardised coefficients of a linear regression on ranks (Saltelli, Chan and Scott, Sensitivity
    Analysis, 2000, chapter 6; from memory), which for independent draws are shares of the variance. Values are
    taken in one by one, the one that explains most of what is left first, as long as it explains more than
    chance would (forward selection, F test; Draper and Smith, Applied Regression Analysis; from memory). All others
    have zero, and so have all where the number does not differ between draws.
    """
    shares = np.zeros(len(drawn))
    told, values = _standardised(number), np.array([_standardised(row) for row in drawn])
    chosen = _chosen(values, told)
    if chosen:
        coefficients = np.linalg.lstsq(values[chosen].T, told, rcond=None)[0]
        shares[chosen] = coefficients**2
    return shares


def _chosen(values: Array, told: Array) -> list[int]:
    """Rows taken in, in that order: after each, what it explains is taken out of the number and of all other rows."""
    chosen: list[int] = []
    left, rest, total = told, values.copy(), told @ told
    while len(chosen) < min(_MOST, len(values)) and left @ left > _NOTHING * total:
        best, explained = _best(rest, left)
        freedom = len(told) - len(chosen) - 2
        if freedom < 1 or explained * freedom < _CERTAIN * (1 - explained):
            break
        chosen.append(best)
        along = rest[best] / np.sqrt(rest[best] @ rest[best])
        left = left - (left @ along) * along
        rest = rest - np.outer(rest @ along, along)
    return chosen


def _best(rest: Array, left: Array) -> tuple[int, float]:
    """The row that explains most of what is left, and which share of it."""
    lengths = np.einsum("in,in->i", rest, rest)
    free = lengths > _NOTHING  # rows are of unit length until something is taken out of them
    shares = np.where(free, (rest @ left) ** 2 / np.where(free, lengths, 1.0), 0.0) / (left @ left)
    best = int(np.argmax(shares))
    return best, min(float(shares[best]), 1.0)


def _standardised(values: Array) -> Array:
    """Ranks (equal values share theirs) about their mean, of unit length; zero where all are equal."""
    _, place, count = np.unique(values, return_inverse=True, return_counts=True)
    ranks = (np.cumsum(count) - (count - 1) / 2)[place]
    about = ranks - ranks.mean()
    length = np.sqrt(about @ about)
    unit: Array = about / length if length else about
    return unit
