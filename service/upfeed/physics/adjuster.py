"""Threads that set preload: how far a turn of the nut or the screw moves the lifter's cup."""

from upfeed.physics.resistance import Numbers


def per_turn_of_nut(pitch: Numbers, ratio: Numbers) -> Numbers:
    """How far the pushrod's cup goes down, m, for a turn of a nut that carries the rocker's pivot.

    ``s = p (1 + 1/r)``: the valve's tip holds its end of the lever, the pivot follows the thread's `pitch` p, m, and
    the cup on the other side goes further, by the lever's `ratio` r (valve over cup). Source: lever, own derivation.
    Example: 24 threads an inch, r = 1.5: 1.0583 mm * (1 + 1/1.5) = 1.764 mm.
    """
    return pitch * (1 + 1 / ratio)


def turns(travel: Numbers, per_turn: Numbers) -> Numbers:
    """Turns that move the cup by a `travel`, m, at `per_turn`, m. Example: 0.635 mm at 1.764 mm a turn: 0.36."""
    return travel / per_turn
