"""Three truth values (true, false, unknown = None) and comparisons that forgive rounding."""

from collections.abc import Iterable
from math import isclose
from typing import TypeVar

T = TypeVar("T")
Truth = bool | None

#: Numbers closer than this, relative to the larger, count as equal: 1.43 / 1.1 is then at least 1.3.
TOLERANCE = 1e-9


def all_of(truths: Iterable[Truth]) -> Truth:
    """False when any is false, else unknown when any is unknown, else true (Kleene 1938, strong logic)."""
    unknown = False
    for truth in truths:
        if truth is False:
            return False
        unknown = unknown or truth is None
    return None if unknown else True


def any_of(truths: Iterable[Truth]) -> Truth:
    """True when any is true, else unknown when any is unknown, else false."""
    return opposite(all_of(opposite(truth) for truth in truths))


def none_of(truths: Iterable[Truth]) -> Truth:
    """The opposite of `any_of`."""
    return opposite(any_of(truths))


def opposite(truth: Truth) -> Truth:
    """True for false, false for true; unknown stays unknown."""
    return None if truth is None else not truth


def agreed(values: Iterable[T]) -> T | None:
    """The one value that all have in common, or None when they differ or there is none."""
    distinct = list(dict.fromkeys(values))
    return distinct[0] if len(distinct) == 1 else None


def near(left: float, right: float) -> bool:
    """Whether two finite numbers are equal within the tolerance."""
    return isclose(left, right, rel_tol=TOLERANCE)


def at_least(left: float, right: float) -> bool:
    """Greater, or equal within the tolerance."""
    return left > right or isclose(left, right, rel_tol=TOLERANCE)


def above(left: float, right: float) -> bool:
    """Greater by more than the tolerance."""
    return left > right and not isclose(left, right, rel_tol=TOLERANCE)


def at_most(left: float, right: float) -> bool:
    """Less, or equal within the tolerance."""
    return left < right or isclose(left, right, rel_tol=TOLERANCE)


def below(left: float, right: float) -> bool:
    """Less by more than the tolerance."""
    return left < right and not isclose(left, right, rel_tol=TOLERANCE)
