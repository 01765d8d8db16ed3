"""What meters oil in time with the cam: a notched disc, the rocker's hole over the pushrod's, a cam journal."""

import numpy as np

from upfeed.physics.films import edges
from upfeed.physics.geometry import lens
from upfeed.physics.holes import THIN_PLATE_LOSS, hole, loss, opening
from upfeed.physics.resistance import Array, Numbers, Resistance, Ways, in_series, per, resistance


def notched_disc(
    notch_area: Numbers,
    seat_inner: Numbers,
    seat_outer: Numbers,
    free_rise: Numbers,
    seated: Numbers,
    base_circle: Numbers,
) -> Ways:
    """Two ways past a metering disc: its notch, and the gap under it once it lifts off its seat.

    Gap: ``a = 6 ln(ro/ri)/(pi h³)``, ``b = 1.6/(2 (2 pi ri h)²)`` and the `edges` of its inner ring; no way
    while the disc is clamped, that is with hot preload or off the base circle. Notch: an `opening`.
    Arguments: `notch_area` m2; `seat_inner` and `seat_outer`, diameters of the seat, m; `free_rise` h, m;
    `seated` 1 where hot preload clamps the disc, else 0; `base_circle` 1 on the base circle, else 0.
    Range: laminar, h far below ri. Source: radial Poiseuille flow between discs (textbook).
    Example: ri 4 mm, ro 5 mm, h 35 um: a = 6 * 0.22314/(pi * 4.2875e-14) = 9.940e12, with the edges
    1.027e13 1/m3.
    """
    clamped = (np.asarray(seated) != 0) | (np.asarray(base_circle) == 0)
    rise = np.where(clamped, 0.0, free_rise)
    inner, outer = np.maximum(seat_inner, 0.0) / 2, np.maximum(seat_outer, 0.0) / 2
    # A difference of logarithms: the quotient of a seat next to nothing would be beyond all numbers.
    widening = np.log(np.where(inner > 0, np.maximum(outer, inner), 1.0)) - np.log(
        np.where(inner > 0, inner, 1.0)
    )
    seat = resistance(per(6 * widening, np.pi * rise**3), 0.0)
    return Ways(opening(notch_area, 0.0), in_series(edges(2 * np.pi * inner, rise), seat))


def timed_hole(diameter: Numbers, length: Numbers, open_share: Numbers, phase: Array) -> Resistance:
    """Resistance of a hole that a turning journal opens for a share of its turn and shuts for the rest.

    A `hole` while open, no way while shut; in the state of the turn in which it shuts it is open for the share
    c of that state, ``a/c`` and ``b/c²``, so that the mean viscous flow is that of the exact share.
    Arguments: `diameter` and `length` in m; `open_share` 0-1 of the turn; `phase` of the turn, evenly spaced
    middles of its states from 0 to 1, its last axis.
    Range: laminar; the short opening and closing of the edges is left out. Source: `hole`; own derivation.
    Example: 2 mm hole, open for 0.3 of the turn: 3 of 10 states as the hole, 7 no way.
    """
    states = np.atleast_1d(phase).shape[-1]
    covered = np.clip((open_share - phase) * states + 0.5, 0.0, 1.0)
    whole = hole(diameter, length)
    return resistance(per(whole.a, covered), per(whole.b, covered**2))


def rocker_hole(
    hole: Numbers,
    depth: Numbers,
    tip_hole: Numbers,
    ball_diameter: Numbers,
    arm: Numbers,
    rest_offset: Numbers,
    lift: Numbers,
) -> Resistance:
    """Resistance from the pushrod's tip through the rocker's hole, at every angle of the cam's turn.

    The lens that both holes share as an opening, then the rest of the rocker's hole. The holes part by
    ``rest_offset + (ball_diameter/2) (lift/arm)``, the swing of the rocker at the ball's radius.
    Arguments, m: `hole` diameter and `depth` of the rocker's hole; `tip_hole` diameter in the pushrod's
    tip; `ball_diameter` of the tip; `arm` from pivot to cup; `rest_offset` of the holes on the base circle,
    counted the way the rocker swings; `lift` of the lifter over the turn.
    Range: laminar, swing as in `swing_apart`. Source: two circles (geometry); `hole`; equal-area circle.
    Example: 1 mm hole all over a 2 mm tip hole: as the `hole`; holes apart: no way.
    """
    shared = lens(hole, tip_hole, swing_apart(ball_diameter, arm, rest_offset, lift))
    bore = np.maximum(hole, 0.0)
    friction = per(128 * np.maximum(depth, 0.0), np.pi * bore**4)
    further = per(loss(bore, depth) - THIN_PLATE_LOSS, 2 * (np.pi * bore**2 / 4) ** 2)
    return in_series(opening(shared, 0.0), resistance(friction, further))


def swing_apart(ball_diameter: Numbers, arm: Numbers, rest_offset: Numbers, lift: Numbers) -> Array:
    """Distance, m, between the middles of the pushrod's and the rocker's hole; infinite without an arm.

    ``rest_offset + (ball_diameter/2) (lift/arm)``; arguments, m, as in `rocker_hole`.
    Range: to 0.4 rad of swing within 2.5 % of the exact linkage, the pushrod's own tilt counted, where the arm swings
    about square to a pushrod six times its length; 1 % to the 0.2 rad that is usual. Source: plane geometry.
    Example: 8 mm ball, 40 mm arm, offset 0.1 mm, 6 mm lift: 0.1 + 4 * 0.15 = 0.7 mm.
    """
    apart: Array = np.abs(rest_offset + per(ball_diameter / 2 * lift, arm))
    return apart
