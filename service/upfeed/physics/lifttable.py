"""A lobe measured angle by angle: what such a table has to be, the curve through it, its turn as one flank."""

from collections.abc import Sequence

import numpy as np

from upfeed.physics.resistance import Array, Numbers

# Points on the curve from the nose down to the base circle, for each state of a flank.
FINER = 8


def table_wrong(angle: Sequence[float], lift: Sequence[float]) -> str:
    """What keeps a table of cam angles, rad, and lifter lifts, m, from being a lobe; empty where nothing does.

    At least five pairs; angles that rise, over less than one turn of the cam; lifts that start at 0, rise to one
    nose, fall to 0 again and never below it.
    """
    angles, lifts = np.asarray(angle, dtype=float), np.asarray(lift, dtype=float)
    if angles.shape != lifts.shape or angles.size < 5:
        return f"{angles.size} angles and {lifts.size} lifts; expected five pairs or more"
    if not (np.isfinite(angles).all() and np.isfinite(lifts).all()):
        return "a value that is no number"
    stay = np.flatnonzero(np.diff(angles) <= 0)
    if stay.size:
        return f"{np.degrees(angles[stay[0] + 1]):.4g} deg after {np.degrees(angles[stay[0]]):.4g} deg"
    if angles[-1] - angles[0] >= 2 * np.pi:
        return f"{np.degrees(angles[-1] - angles[0]):.4g} deg of cam; expected less than a turn"
    return _no_lobe(angles, lifts)


def lift_between(cam_angle: Numbers, angle: Sequence[float], lift: Sequence[float]) -> Array:
    """Lifter lift, m, at a cam angle, rad, on the smooth curve through a measured table; 0 outside it.

    Cubic pieces whose slopes never overshoot, so that the lift between two readings lies between them.
    Arguments as in `table_wrong`; ValueError with what it says.
    Source: Fritsch and Carlson 1980; slopes by Fritsch and Butland 1984 (weighted harmonic mean).
    Example: readings 0, 1, 4, 1, 0 mm at -2...2: 1 mm at -1, 4 mm at 0, between 1 and 4 mm at -0.5.
    """
    wrong = table_wrong(angle, lift)
    if wrong:
        raise ValueError(f"found {wrong}; check the table of lifts")
    x, y = np.asarray(angle, dtype=float), np.asarray(lift, dtype=float)
    at = np.asarray(cam_angle, dtype=float)
    piece = np.clip(np.searchsorted(x, at, side="right") - 1, 0, x.size - 2)
    width, slopes = np.diff(x)[piece], _slopes(x, y)
    t = np.clip((at - x[piece]) / width, 0.0, 1.0)
    rise = y[piece + 1] - y[piece]
    start, end = width * slopes[piece], width * slopes[piece + 1]
    curve = y[piece] + t * (start + t * (3 * rise - 2 * start - end + t * (start + end - 2 * rise)))
    inside = (at > x[0]) & (at < x[-1])
    held: Array = np.where(inside, np.clip(curve, 0.0, y.max()), 0.0)
    return held


def half_width(angle: Sequence[float], lift: Sequence[float]) -> float:
    """Half of the cam's turn, rad, during which the lifter is lifted, from the last 0 to the next."""
    lifted = np.flatnonzero(np.asarray(lift, dtype=float) > 0)
    return float(angle[lifted[-1] + 1] - angle[lifted[0] - 1]) / 2


def flank_of(angle: Sequence[float], lift: Sequence[float], states: int) -> Array:
    """Lifts, m, from nose to base circle at the middles of `states` equal shares of the lifted turn: [states].

    Both flanks rearranged into one that falls all the way and stands as long at every lift as both together: all
    that a turn lets through. Takes the place of `timing.lift_at` over `half_width`.
    Example: a lobe with equal flanks gives that flank.
    """
    wide = half_width(angle, lift)
    first = angle[int(np.flatnonzero(np.asarray(lift, dtype=float) > 0)[0]) - 1]
    points = states * FINER
    even = first + 2 * wide * (np.arange(points) + 0.5) / points
    falling = -np.sort(-lift_between(even, angle, lift))
    flank: Array = falling.reshape(states, FINER).mean(axis=-1)
    return flank


def _no_lobe(angles: Array, lifts: Array) -> str:
    nose = int(np.argmax(lifts))
    rising, falling = np.diff(lifts[: nose + 1]), np.diff(lifts[nose:])
    if lifts[0] != 0 or lifts[-1] != 0:
        return f"{lifts[0] * 1e3:.4g} mm at the start and {lifts[-1] * 1e3:.4g} mm at the end; expected 0 at both"
    if not lifts[nose] > 0:
        return "no lift"
    back = np.flatnonzero(np.concatenate([rising < 0, falling > 0]))
    if back.size:
        return f"a second rise near {np.degrees(angles[back[0]]):.4g} deg; expected one nose"
    return ""


def _slopes(x: Array, y: Array) -> Array:
    """Slopes at the readings: 0 at the ends, at the nose and where the lift stands still."""
    width, steepness = np.diff(x), np.diff(y) / np.diff(x)
    before, after = steepness[:-1], steepness[1:]
    one, two = 2 * width[1:] + width[:-1], width[1:] + 2 * width[:-1]
    bends = before * after > 0
    mean = (one + two) / (one / np.where(bends, before, 1.0) + two / np.where(bends, after, 1.0))
    return np.concatenate([[0.0], np.where(bends, mean, 0.0), [0.0]])
