"""What becomes of readings: agreed with, explained, or not; arrays only."""

import numpy as np
from msgspec import Struct

from upfeed.advising.gauge.explaining import Explained, explain, most_misfit
from upfeed.advising.gauge.pairing import Together, everything, pairs
from upfeed.advising.gauge.readinganswer import Outcome
from upfeed.advising.gauge.sensitivities import Sensitivities, Solved
from upfeed.knowledge.moves import Moves
from upfeed.physics.resistance import Array

_NOTHING = 1.0  # Pa


class Found(Struct, frozen=True):
    """The outcome, the single values that explain readings, and the pairs, where none does alone."""

    outcome: Outcome
    alone: Explained
    pairs: tuple[Together, ...]


def found(
    of: Sensitivities,
    readings: Array,
    limits: Array,
    moves: Moves,
    solved: Solved,
    possible: tuple[Array, Array],
) -> Found:
    """What explains readings [M], Pa, each of which may be off by its limit, where the least and most are `possible`.

    A limit bounds an error of which nothing more is known: its standard deviation is the limit through the square root
    of three (JCGM 100:2008, 4.3.7). What trapped air leaves open is such a bound beside it.
    """
    sigma = np.sqrt((limits**2 + of.torn**2) / 3)
    alone = explain(of, readings, sigma)
    if (np.abs(readings - of.expected) <= limits + of.torn).all():
        return Found("agrees", alone, ())
    least, most = possible
    if ((readings < least - limits - of.torn) | (readings > most + limits + of.torn)).any():
        return Found("impossible", alone, ())
    if alone.ranked:
        # All at one place and point is one number: whatever moves it explains it.
        told = alone.told and len(np.unique(of.expected)) > 1
        return Found("explained" if told else "cannot_tell", alone, ())
    if two := pairs(of, readings, sigma, moves, solved):
        return Found("two_at_once", alone, two)
    fits = everything(of, readings, sigma).misfit <= most_misfit(len(readings))
    return Found("more_than_two" if fits else "contradictory", alone, ())


def reach(of: Sensitivities, moves: Moves, solved: Solved) -> tuple[Array, Array]:
    """The least and the most that each gauge could show, Pa [M]: every value as far off as lowers or raises it most.

    Where such an engine does not settle, what the values do is taken as the product of what each does.
    """
    gauges = range(len(of.expected))
    sides = [(of.shown.argmin(axis=1), np.min), (of.shown.argmax(axis=1), np.max)]
    off = [np.take_along_axis(of.spreads, at, axis=1) for at, _ in sides]
    engines = [
        moves.engine(dict(zip(of.places, row.tolist(), strict=True))) for side in off for row in side.T
    ]
    read = solved(engines)
    settled = read.known.reshape(2, len(gauges), -1)[:, gauges, gauges]
    pressure = read.pressure.reshape(2, len(gauges), -1)[:, gauges, gauges]
    times = np.log(np.maximum(of.shown, _NOTHING) / of.expected)
    product = np.array([of.expected * np.exp(np.sum(end(times, axis=1), axis=0)) for _, end in sides])
    least, most = np.where(settled, pressure, product)
    return np.minimum(least, of.expected), np.maximum(most, of.expected)
