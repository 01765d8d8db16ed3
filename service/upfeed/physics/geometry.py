"""Plane areas that open and shut: a circle between two heights, and two circles over each other."""

import numpy as np

from upfeed.physics.resistance import Array, Numbers


def circle_between(diameter: Numbers, low: Numbers, high: Numbers) -> Array:
    """Area, m2, of a circle between two heights, m, from its centre; 0 where `high` is not above `low`.

    ``A = F(high) - F(low)``, ``F(y) = r² (asin t + t sqrt(1 - t²))``, t = y/r held to -1...1 (geometry).
    Example: r = 1 between 0.5 and 1: 0.614185.
    """
    radius = np.maximum(np.asarray(diameter, dtype=float), 0.0) / 2
    area: Array = radius**2 * np.maximum(_below(high, radius) - _below(low, radius), 0.0)
    return area


def _below(height: Numbers, radius: Array) -> Array:
    t = np.clip(height, -radius, radius) / np.where(radius > 0, radius, 1.0)
    share: Array = np.arcsin(t) + t * np.sqrt(1 - t * t)
    return share


def lens(diameter: Numbers, other: Numbers, apart: Numbers) -> Array:
    """Area, m2, that two circles share, their diameters and the distance of their centres in m.

    The sum of the two segments beyond the common chord; the smaller circle where it lies inside the larger,
    0 where the circles are apart or touch from outside (plane geometry).
    Example: radii 1 and 1, centres 1 apart: 1.228370.
    """
    one = np.maximum(np.asarray(diameter, dtype=float), 0.0) / 2
    two = np.maximum(np.asarray(other, dtype=float), 0.0) / 2
    apart = np.abs(apart)
    inside, outside = apart <= np.abs(one - two), apart >= one + two
    crossing = ~inside & ~outside
    # Stand-in sizes where the circles do not cross keep the unused branch a number.
    r, s, d = np.where(crossing, one, 1.0), np.where(crossing, two, 1.0), np.where(crossing, apart, 1.0)
    crossed = _segment(r, (d * d + r * r - s * s) / (2 * d)) + _segment(s, (d * d + s * s - r * r) / (2 * d))
    smaller = np.pi * np.minimum(one, two) ** 2
    area: Array = np.where(outside, 0.0, np.where(inside, smaller, np.clip(crossed, 0.0, smaller)))
    return area


def _segment(radius: Array, chord: Array) -> Array:
    """Area of a circle beyond a chord at this distance from its centre."""
    t = np.clip(chord / radius, -1.0, 1.0)
    area: Array = radius**2 * (np.arccos(t) - t * np.sqrt(1 - t * t))
    return area
