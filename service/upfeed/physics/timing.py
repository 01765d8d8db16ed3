"""The cam's turn: lifter lift from the cam card, and how long windows and rocker holes stand open in it."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from upfeed.physics.geometry import circle_between
from upfeed.physics.metering import swing_apart
from upfeed.physics.resistance import Array, Numbers

Mask = NDArray[np.bool_]

# Half a degree of cam, one of crank: finer than a cam card is read.
ANGLES = 720
# Of the cam, rad; the heel of the lobe first, its nose half a turn later.
CAM_ANGLES: Array = 2 * np.pi * np.arange(ANGLES) / ANGLES - np.pi
# Halvings of half a turn down to the last bit.
HALVINGS = 60


CARD = ("lift", "low_lift", "low_duration", "high_lift", "high_duration")
"""What a cam card says of a lobe: the arguments of `lobe`."""


class Lobe(NamedTuple):
    """A lobe as ``h = lift cos(pi phi / (2 half_width))^(2 power)`` within half_width of its nose, else 0.

    `lift` in m, `half_width` in rad of cam, `power` a number.
    """

    lift: Array
    half_width: Array
    power: Array


def lobe_exists(
    lift: Numbers, low_lift: Numbers, low_duration: Numbers, high_lift: Numbers, high_duration: Numbers
) -> Mask:
    """Whether a lobe can meet both checking lifts of a cam card.

    Arguments as in `lobe`. The lifts must rise from low to high to full, the durations fall, and the flanks
    must steepen enough between the two lifts for the lobe to end within one turn.
    """
    full, low, high = (np.asarray(a, dtype=float) for a in (lift, low_lift, high_lift))
    wide, narrow = (np.asarray(a, dtype=float) / 4 for a in (low_duration, high_duration))
    ordered = (low > 0) & (low < high) & (high < full) & (narrow > 0) & (narrow < wide) & (wide < np.pi)
    with np.errstate(all="ignore"):  # a card out of order may divide by nothing: it is no lobe already
        steep = np.log(low / full) / np.log(high / full) >= _steepness(wide, narrow, np.pi)
    return np.asarray(ordered & steep)


def lobe(
    lift: Numbers, low_lift: Numbers, low_duration: Numbers, high_lift: Numbers, high_duration: Numbers
) -> Lobe:
    """Lobe of a cam card, meeting both checking lifts at their durations.

    `lift`, `low_lift`, `high_lift` of the lifter in m; `low_duration`, `high_duration` in rad of crank
    between the two angles at which the lifter stands that high. The shape between is a smooth assumption.
    Found by halving on the half width; ValueError where `lobe_exists` says no.
    Example: 7 mm, 0.15 mm at 270 deg of crank, 1.27 mm at 212: 75.63 deg of cam each side, power 1.0776.
    """
    if not np.all(lobe_exists(lift, low_lift, low_duration, high_lift, high_duration)):
        raise ValueError(_no_lobe(lift, low_lift, low_duration, high_lift, high_duration))
    low, high = np.asarray(low_duration) / 4, np.asarray(high_duration) / 4
    wanted = np.log(np.divide(low_lift, lift)) / np.log(np.divide(high_lift, lift))
    shape = np.broadcast_shapes(wanted.shape, low.shape, high.shape)
    narrow, wide = np.broadcast_to(low, shape), np.full(shape, np.pi)
    for _ in range(HALVINGS):
        middle = (narrow + wide) / 2
        too_steep = _steepness(low, high, middle) > wanted
        narrow, wide = np.where(too_steep, middle, narrow), np.where(too_steep, wide, middle)
    power = np.log(np.divide(high_lift, lift)) / (2 * np.log(np.cos(np.pi * high / (2 * wide))))
    return Lobe(np.asarray(lift, dtype=float), wide, power)


def lift_at(cam_angle: Numbers, of: Lobe) -> Array:
    """Lifter lift, m, at an angle of the cam, rad from the lobe's nose; exactly 0 on the base circle."""
    share = np.abs(cam_angle) / of.half_width
    flank = np.cos(np.pi / 2 * np.minimum(share, 1.0))
    lift: Array = np.where(share < 1, of.lift * flank ** (2 * of.power), 0.0)
    return lift


def lift_over_turn(of: Lobe) -> Array:
    """Lifter lift, m, at every one of `CAM_ANGLES`, a new last axis."""
    return lift_at(CAM_ANGLES, Lobe(*(np.asarray(part)[..., None] for part in of)))


def window_area(
    foot: Numbers, band_from: Numbers, band_to: Numbers, gallery_height: Numbers, gallery_diameter: Numbers
) -> Array:
    """Area, m2, of the gallery hole that lies between the band's edges (all m; arguments as `window`)."""
    lower = np.asarray(foot) + band_from - gallery_height
    return circle_between(gallery_diameter, lower, np.asarray(foot) + band_to - gallery_height)


def fed_share(
    foot: Numbers, band_from: Numbers, band_to: Numbers, gallery_height: Numbers, gallery_diameter: Numbers
) -> Array:
    """Share of the turn, 0-1, in which the band stands open to the gallery; the turn is foot's last axis.

    `foot`, height of the foot above the cam centre line, m; the others as in `window_area`, m.
    """
    share: Array = np.mean(stands_open(foot, band_from, band_to, gallery_height, gallery_diameter), axis=-1)
    return share


def stands_open(
    foot: Numbers, band_from: Numbers, band_to: Numbers, gallery_height: Numbers, gallery_diameter: Numbers
) -> Mask:
    """Whether the band overlaps the gallery hole; arguments as in `fed_share`, m."""
    off_middle = np.maximum(
        np.asarray(foot) + band_from - gallery_height, gallery_height - band_to - np.asarray(foot)
    )
    overlaps = (off_middle < np.asarray(gallery_diameter) / 2) & (np.asarray(band_from) < band_to)
    return np.asarray(overlaps)


class CutOff(NamedTuple):
    """Lift, m, at which the band leaves the gallery; `never` where the lobe does not lift that far."""

    lift: Array
    never: Mask


def cut_off_lift(
    base_circle: Numbers,
    lift: Numbers,
    band_from: Numbers,
    gallery_height: Numbers,
    gallery_diameter: Numbers,
) -> CutOff:
    """Lift at which the band's lower edge passes the gallery hole's upper edge on its way up.

    `base_circle` radius and lobe `lift`, m; the others as in `window_area`. A band that stands above the
    gallery from the start leaves at 0. Where it never leaves, `lift` is the lobe's own and `never` is true.
    Example: base circle 20 mm, band from 28 mm, hole to 55 mm: at 7 mm.
    """
    leaves = np.asarray(gallery_height) + np.asarray(gallery_diameter) / 2 - base_circle - band_from
    return CutOff(np.clip(leaves, 0.0, lift), np.asarray(leaves >= lift))


def rocker_open_share(
    hole: Numbers,
    tip_hole: Numbers,
    ball_diameter: Numbers,
    arm: Numbers,
    rest_offset: Numbers,
    lift: Numbers,
) -> Array:
    """Share of the turn, 0-1, in which the rocker's and the pushrod's hole overlap.

    Arguments, m, as in the law `rocker_hole`; the turn is `lift`'s last axis.
    """
    reach = (np.maximum(hole, 0.0) + np.maximum(tip_hole, 0.0)) / 2
    overlaps = (swing_apart(ball_diameter, arm, rest_offset, lift) < reach) & (np.minimum(hole, tip_hole) > 0)
    share: Array = np.mean(overlaps, axis=-1)
    return share


def _steepness(low: Numbers, high: Numbers, half_width: Numbers) -> Array:
    """How many times as far down, in powers, the lobe is at its low angle as at its high one."""
    quarter = np.pi / (2 * np.asarray(half_width))
    ratio: Array = np.log(np.cos(quarter * low)) / np.log(np.cos(quarter * high))
    return ratio


def _no_lobe(*card: Numbers) -> str:
    """Say which card, the first of however many, no lobe can meet."""
    *columns, exists = np.broadcast_arrays(*card, lobe_exists(*card))
    lift, low_lift, low, high_lift, high = (column[~exists.astype(bool)][0] for column in columns)
    return (
        f"no lobe of {lift * 1e3:.4g} mm stands {np.degrees(low):.4g} deg of crank at {low_lift * 1e3:.4g} mm"
        f" and {np.degrees(high):.4g} deg at {high_lift * 1e3:.4g} mm; expected lifts that rise and durations"
        " that fall from the first to the second, within one turn, on flanks that steepen; check the cam card"
    )
