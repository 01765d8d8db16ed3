"""Several values off at once: how far each, by bounded least squares, where no single one explains the readings."""

import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from upfeed.advising.gauge.explaining import alone as fit_alone
from upfeed.advising.gauge.explaining import angles, most_misfit
from upfeed.advising.gauge.sensitivities import Sensitivities, Solved
from upfeed.knowledge.moves import Moves
from upfeed.physics.resistance import Array

SAME = math.radians(10)
"""Of values whose columns are less than this apart only one is tried in pairs: what the others do differs by a sixth
(sin 10 deg) of it, which the second of the pair makes up for. Assumption."""

_STEPS = 20
_HALVINGS = 6
_SETTLED = 1e-6
# Sigmas that a spread counts for beside the readings: so little that it only settles what these leave open.
_PULL = 1e-3
_NEARLY = 4.0
_MOST_PAIRS = 3
_PROMISING = 12
_ROUNDS = 4
_LEAST = 1.0  # Pa


class Together(Struct, frozen=True):
    """Felt values and how far off each is, in spreads; what the gauges then show, Pa [M], and the misfit."""

    values: tuple[int, ...]
    spreads: tuple[float, ...]
    shown: Array
    misfit: float

    @property
    def stretch(self) -> float:
        """How far the one is off that is off farthest."""
        return max(map(abs, self.spreads))


def together(
    of: Sensitivities, values: Sequence[int], readings: Array, sigma: Array, start: Array | None = None
) -> Together:
    """Felt values as far off together as explains readings [M], Pa, best, each within all that it can be.

    What values do together is taken as the product of what each does to the pressure. Each step solves the linear
    problem in what is left over with bounds by an active set (Stark and Parker, Bounded-Variable Least-Squares,
    Computational Statistics 10, 1995, as `scipy.optimize.lsq_linear` has it), and is halved until it helps. It ends
    at the lowest place that leads down from the `start`: no value off, unless told otherwise.
    """
    ends = np.array([of.ends(value) for value in values])
    off = np.zeros(len(values)) if start is None else start
    cost = _cost(of, values, off, readings, sigma)
    for _ in range(_STEPS):
        step = _step(of, values, off, ends, (readings, sigma))
        for _ in range(_HALVINGS):
            tried = _cost(of, values, off + step, readings, sigma)
            if tried < cost:
                break
            step = step / 2
        else:
            break
        off, cost = off + step, tried
        if np.abs(step).max() < _SETTLED:
            break
    shown = product(of, values, off)
    return Together(
        tuple(values), tuple(off.tolist()), shown, float(np.sum(((readings - shown) / sigma) ** 2))
    )


def everything(of: Sensitivities, readings: Array, sigma: Array) -> Together:
    """All felt values as far off as explains readings best, from no value off and from each alone that does most."""
    values = range(len(of.places))
    alone = fit_alone(of, readings, sigma).spreads
    starts = [np.zeros(len(values)), *(alone * (np.arange(len(values)) == of_) for of_ in leaders(of, sigma))]
    ways = (together(of, values, readings, sigma, start) for start in starts)
    return min(ways, key=lambda way: way.misfit)


def product(of: Sensitivities, values: Sequence[int], spreads: Array) -> Array:
    """What the gauges show with several felt values off, Pa: [M]."""
    each = [of.at(value, off) / of.expected for value, off in zip(values, spreads, strict=True)]
    return np.asarray(of.expected * np.prod(each, axis=0))


def pairs(
    of: Sensitivities, readings: Array, sigma: Array, moves: Moves, solved: Solved
) -> tuple[Together, ...]:
    """Two values off at once that explain readings, that pair first which stretches least; none where no two do.

    What two do together is not quite the product of what each does, least of all where a relief opens. So the most
    promising pairs are solved, and fitted again to the readings times what the product was out by; the best of all
    rounds counts, with the misfit of the solved engine.
    """
    chosen = itertools.combinations(leaders(of, sigma), 2)
    rough = sorted((together(of, pair, readings, sigma) for pair in chosen), key=lambda pair: pair.misfit)
    found = _solved_pairs(of, rough[:_PROMISING], (readings, sigma), moves, solved)
    best = min((pair.misfit for pair in found), default=np.inf)
    most = min(most_misfit(len(readings)), best + _NEARLY)
    standing = [pair for pair in found if pair.misfit <= most]
    return tuple(sorted(standing, key=lambda pair: (pair.stretch, pair.values))[:_MOST_PAIRS])


def _solved_pairs(
    of: Sensitivities, rough: list[Together], wanted: tuple[Array, Array], moves: Moves, solved: Solved
) -> list[Together]:
    readings, sigma = wanted
    tried, best = rough, [replace(pair, misfit=math.inf) for pair in rough]
    for _ in range(_ROUNDS if rough else 0):
        engines = [moves.engine(_off(of, pair)) for pair in tried]
        shown = np.maximum(solved(engines).pressure, _LEAST)
        misfits = np.sum(((readings - shown) / sigma) ** 2, axis=1).tolist()
        exact = [replace(p, shown=at, misfit=m) for p, at, m in zip(tried, shown, misfits, strict=True)]
        best = [min(pair, key=lambda one: one.misfit) for pair in zip(best, exact, strict=True)]
        tried = [
            together(of, p.values, readings * p.shown / at, sigma, np.array(p.spreads))
            for p, at in zip(tried, shown, strict=True)
        ]
    return best


def _off(of: Sensitivities, pair: Together) -> dict[int, float]:
    places = (of.places[value] for value in pair.values)
    return dict(zip(places, pair.spreads, strict=True))


def leaders(of: Sensitivities, sigma: Array) -> tuple[int, ...]:
    """Of felt values whose columns are nearly the same the one that does most for each spread: what stretches least."""
    return tuple(_leaders(of, sigma))


def _leaders(of: Sensitivities, sigma: Array) -> Iterator[int]:
    apart, does = angles(of.columns, sigma), np.linalg.norm(of.columns / sigma, axis=1)
    left = sorted(range(len(does)), key=lambda i: (-does[i], i))
    while left:
        first = left[0]
        yield first
        left = [i for i in left if i != first and apart[first, i] >= SAME]


def _step(
    of: Sensitivities, values: Sequence[int], off: Array, ends: Array, wanted: tuple[Array, Array]
) -> Array:
    from scipy.optimize import lsq_linear  # noqa: PLC0415 - takes seconds, and few commands need it

    readings, sigma = wanted
    shown = product(of, values, off)
    slopes = [of.slope(v, at) / of.at(v, at) for v, at in zip(values, off, strict=True)]
    rows = np.vstack([(np.array(slopes) * shown / sigma).T, _PULL * np.eye(len(values))])
    left = np.concatenate([(readings - shown) / sigma, -_PULL * off])
    # A bound that has been reached is kept open by a rounding's width: both may not be the same.
    room = (np.minimum(ends[:, 0] - off, -1e-12), np.maximum(ends[:, 1] - off, 1e-12))
    step = lsq_linear(rows, left, bounds=room, method="bvls").x
    return np.asarray(np.clip(off + step, ends[:, 0], ends[:, 1]) - off)


def _cost(of: Sensitivities, values: Sequence[int], off: Array, readings: Array, sigma: Array) -> float:
    misfit = np.sum(((readings - product(of, values, off)) / sigma) ** 2)
    return float(misfit + np.sum((_PULL * off) ** 2))
