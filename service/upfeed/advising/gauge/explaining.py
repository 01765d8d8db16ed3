"""Which values, being off, explain readings: bounded least squares on what each does, arrays only.

A reading is taken as what the gauge shows plus an error of standard deviation sigma; the misfit of an explanation is
the sum of its squared distances from the readings in sigmas, chi squared.
"""

import math

import numpy as np
from msgspec import Struct

from upfeed.advising.gauge.sensitivities import Sensitivities
from upfeed.physics.resistance import Array

TOLD = 4.0
"""Sigmas by which two explanations must be apart to be told apart: the wrong one then fits better in 2 % of cases
(the normal integral at minus half of it)."""

ALIKE = math.radians(30)
"""Columns less than this apart are one explanation: of what the one does the other does half (sin 30 deg) as well, so
that it takes readings that are off by eight sigmas together to tell them apart. Assumption. What gauges can part lies
60 deg and more apart (pump and gaps, relief, filter, cold oil), what they can't within 30 (all that holds the pressure
at idle, through gaps or through holes)."""

_NEARLY = 4.0
"""How much more misfit than the best one an explanation may have and still stand: two sigmas of one free value."""


class Fits(Struct, frozen=True):
    """Each felt value alone, as far off as explains the readings best: spreads [J], shown [J, M] Pa, misfit [J]."""

    spreads: Array
    shown: Array
    misfit: Array


class Ranked(Struct, frozen=True):
    """One explanation: the felt value that stretches least, and those whose columns are alike and explain it too."""

    value: int
    alike: tuple[int, ...]


class Explained(Struct, frozen=True):
    """What single values explain readings, that which stretches least first, and whether the first is told from all.

    `rivals` are felt values, not alike, that would give next to the same readings as the first explanation.
    """

    fits: Fits
    ranked: tuple[Ranked, ...]
    rivals: tuple[int, ...]

    @property
    def told(self) -> bool:
        """Whether the readings tell one explanation from every other."""
        return len(self.ranked) == 1 and not self.rivals


def most_misfit(readings: int) -> float:
    """The misfit up to which an explanation of so many readings fits: ``M + 2 sqrt(2 M)``.

    Mean and two standard deviations of chi squared with M degrees of freedom (by definition of that distribution).
    Example: 8 readings: 16; chance alone gives more in 4 % of cases.
    """
    return readings + 2 * math.sqrt(2 * readings)


def angles(columns: Array, sigma: Array) -> Array:
    """Angle between what each value does to the readings, whichever way it is off, rad: [J, J].

    ``cos phi = |a . b|/(|a||b|)``, columns a and b in sigmas. Two values an angle phi apart are told apart by sin phi
    of what either does.
    """
    scaled = columns / sigma
    unit = scaled / np.maximum(np.linalg.norm(scaled, axis=1, keepdims=True), np.finfo(float).tiny)
    return np.asarray(np.arccos(np.clip(np.abs(unit @ unit.T), 0.0, 1.0)))


def alone(of: Sensitivities, readings: Array, sigma: Array) -> Fits:
    """Fit each felt value by itself to readings [M], Pa, within all that it can be.

    Least squares with bounds in one unknown: what the value does is a line from place to place, so the nearest point
    of every piece of it is found (projection, held between the piece's ends) and the best of all pieces taken. That
    is the least misfit anywhere within the bounds, however the line bends.
    """
    from_, steps = of.shown[:, :-1] / sigma, np.diff(of.shown, axis=1) / sigma
    off = readings / sigma - from_
    length = np.vecdot(steps, steps)
    share = np.clip(np.vecdot(off, steps) / np.where(length > 0, length, 1.0), 0.0, 1.0)
    misfits = np.sum((off - share[..., None] * steps) ** 2, axis=2)
    best = np.argmin(misfits, axis=1)
    rows = np.arange(len(best))
    part = share[rows, best]
    spreads = of.spreads[rows, best] + part * np.diff(of.spreads, axis=1)[rows, best]
    shown = of.shown[rows, best] + part[:, None] * np.diff(of.shown, axis=1)[rows, best]
    return Fits(spreads, shown, misfits[rows, best])


def explain(of: Sensitivities, readings: Array, sigma: Array) -> Explained:
    """Rank the single values that explain readings [M], Pa, with errors of standard deviation sigma [M]."""
    fits = alone(of, readings, sigma)
    stands = fits.misfit <= min(most_misfit(len(readings)), fits.misfit.min(initial=np.inf) + _NEARLY)
    apart = angles(of.columns, sigma)
    ranked = _ranked(fits, [int(i) for i in np.flatnonzero(stands)], apart)
    return Explained(fits, ranked, _rivals(of, fits, ranked[0].value, apart, sigma) if ranked else ())


def _ranked(fits: Fits, standing: list[int], apart: Array) -> tuple[Ranked, ...]:
    """Each takes with it what is alike to it and stretches further."""
    left = sorted(standing, key=lambda i: (abs(fits.spreads[i]), i))
    ranked = []
    while left:
        first, *others = left
        alike = tuple(i for i in others if apart[first, i] < ALIKE)
        ranked.append(Ranked(first, alike))
        left = [i for i in others if i not in alike]
    return tuple(ranked)


def _rivals(of: Sensitivities, fits: Fits, first: int, apart: Array, sigma: Array) -> tuple[int, ...]:
    """What could be taken for the first explanation with another draw of the gauge's errors."""
    near = alone(of, fits.shown[first], sigma).misfit < TOLD**2
    return tuple(int(i) for i in np.flatnonzero(near & (apart[first] >= ALIKE)))
