"""The fewest positions that between them reach everything that can be reached."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.bool_]

Chosen = tuple[tuple[int, tuple[int, ...]], ...]
"""Positions in order, each with what is reached there and at none before."""


def fewest(reach: Mask) -> Chosen:
    """The fewest of positions [.., P] at which every row that is reached anywhere is reached: exact.

    Positions run round in a circle. Of neighbours that reach the same, the middle one of the longest run is taken, so
    that a little more or less turning changes nothing.
    """
    runs = _runs(reach)
    sets = _undominated(sorted(runs, key=lambda reached: (-runs[reached][1], runs[reached][0])))
    wanted = 0
    for reached in sets:
        wanted |= reached
    for count in range(len(sets) + 1):
        found = _cover(wanted, sets, count)
        if found is not None:
            return _in_order({runs[reached][0]: reached for reached in found})
    return ()


def _runs(reach: Mask) -> dict[int, tuple[int, int]]:
    """What is reached, as bits, with the middle and the length of the longest run that reaches just that."""
    positions = reach.shape[1]
    starts = np.flatnonzero((reach != np.roll(reach, 1, axis=1)).any(axis=0)).tolist()
    if not starts:
        return {_as_bits(reach[:, 0]): (0, positions)}
    found: dict[int, tuple[int, int]] = {}
    for i, start in enumerate(starts):
        reached, length = _as_bits(reach[:, start]), (starts[(i + 1) % len(starts)] - start) % positions
        if length > found.get(reached, (0, 0))[1]:
            found[reached] = ((start + (length - 1) // 2) % positions, length)
    return found


def _as_bits(reached: Mask) -> int:
    return sum(1 << row for row in np.flatnonzero(reached).tolist())


def _undominated(sets: Sequence[int]) -> list[int]:
    """Sets that no other one holds whole, and that hold something."""
    return [one for one in sets if one and not any(one != other and one & other == one for other in sets)]


def _cover(wanted: int, sets: Sequence[int], count: int) -> list[int] | None:
    """At most `count` sets that hold all that is wanted between them; None where there are none."""
    if not wanted:
        return []
    if not count:
        return None
    rarest = min(_bits(wanted), key=lambda bit: sum(1 for one in sets if one & bit))
    for one in sets:
        if one & rarest:
            rest = _cover(wanted & ~one, sets, count - 1)
            if rest is not None:
                return [one, *rest]
    return None


def _bits(number: int) -> list[int]:
    return [1 << i for i in range(number.bit_length()) if number >> i & 1]


def _in_order(chosen: dict[int, int]) -> Chosen:
    left, told = ~0, []
    for at in sorted(chosen):
        told.append((at, tuple(bit.bit_length() - 1 for bit in _bits(chosen[at] & left))))
        left &= ~chosen[at]
    return tuple(told)
