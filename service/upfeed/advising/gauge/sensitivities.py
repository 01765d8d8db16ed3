"""How gauge readings follow the uncertain values of a build: each alone moved over all it can be, solved at once."""

from collections.abc import Callable, Sequence

import numpy as np
from msgspec import Struct

from upfeed.flow.gauges import Shown
from upfeed.knowledge.moves import Moves
from upfeed.knowledge.variants import Variant
from upfeed.physics.resistance import Array

Solved = Callable[[Sequence[Variant]], Shown]
"""What the gauges show on engines."""

FELT = 0.01
"""A value that moves no reading by this share of it, however far it is off, is nothing that a gauge could show."""

# Where each side is solved, as shares of how far it reaches: closer together where a spread or two are asked about,
# and at the end, where a relief that hardly lets by bends upwards.
_SHARES = np.array([0.03125, 0.0625, 0.125, 0.1875, 0.25, 0.375, 0.5, 0.75, 0.9, 0.97, 1.0])
_BETWEEN = 8  # steps looked up between one solved place and the next
_MUCH = 0.1  # of itself
_LEAST = 1.0  # Pa; no gauge tells less from nothing
_BENT = 0.01  # of what the farther end does for each spread; less counts as nothing done within the spread


class Sensitivities(Struct, frozen=True):
    """What M gauges show as each of J felt values, by its place among the inputs, moves alone.

    expected [M] and torn [M] in Pa as in `Shown`; spreads [J, G] how far off it is, rising; shown [J, G, M] in Pa;
    columns [J, M] in Pa for each spread that it is off.
    """

    places: tuple[int, ...]
    expected: Array
    torn: Array
    spreads: Array
    shown: Array
    columns: Array

    def at(self, value: int, spreads: float) -> Array:
        """What the gauges show with one felt value so many spreads off, Pa: [M]."""
        left, share = self._between(value, spreads)
        pair = self.shown[value, left : left + 2]
        return np.asarray(pair[0] + share * (pair[1] - pair[0]))

    def slope(self, value: int, spreads: float) -> Array:
        """How that changes for each further spread, Pa: [M]."""
        left, _ = self._between(value, spreads)
        step = self.spreads[value, left + 1] - self.spreads[value, left]
        return np.asarray((self.shown[value, left + 1] - self.shown[value, left]) / step)

    def _between(self, value: int, spreads: float) -> tuple[int, float]:
        row = self.spreads[value]
        steps = np.flatnonzero(np.diff(row) > 0)
        left = int(steps[np.clip(np.searchsorted(row[steps], spreads, side="right") - 1, 0, len(steps) - 1)])
        return left, (spreads - row[left]) / (row[left + 1] - row[left])

    def ends(self, value: int) -> tuple[float, float]:
        """How far a felt value can be off to either side, in spreads."""
        return float(self.spreads[value, 0]), float(self.spreads[value, -1])


def sensitivities(moves: Moves, solved: Solved) -> Sensitivities:
    """Solve the build with each of its values off: first at both ends, then those that are felt at more places.

    Readings as functions of one value are put together from what is solved by monotone cubics through their
    logarithms (Fritsch and Carlson 1980, as `scipy.interpolate.PchipInterpolator` has them). A place where a circuit
    does not settle is left out. Raises ValueError where the build as it is given does not settle at every gauge.
    """
    ends = [moves.engine({i: end}) for i, of in enumerate(moves.inputs) for end in (of.least, of.most)]
    first = solved([moves.engine({}), *ends])
    if not first.known[0].all():
        raise ValueError("the build as it is given does not settle at every gauge")
    expected = first.pressure[0]
    places = _felt(first, expected)
    lines = _lines(moves, solved, places) if places else []
    grid = (len(places), 2 * len(_SHARES) * _BETWEEN + 1)
    return Sensitivities(
        places=places,
        expected=expected,
        torn=first.torn[0],
        spreads=np.array([spreads for spreads, _ in lines]).reshape(grid),
        shown=np.array([shown for _, shown in lines]).reshape(*grid, len(expected)),
        columns=np.array([_column(*line, expected) for line in lines]).reshape(len(places), len(expected)),
    )


def _felt(ends: Shown, expected: Array) -> tuple[int, ...]:
    """Values that move a reading; every two engines behind the first are both ends of one."""
    change = np.where(ends.known[1:], np.abs(ends.pressure[1:] - expected), 0.0)
    moved = (change >= FELT * expected).any(axis=1).reshape(-1, 2).any(axis=1)
    return tuple(int(place) for place in np.flatnonzero(moved))


def _lines(moves: Moves, solved: Solved, places: tuple[int, ...]) -> list[tuple[Array, Array]]:
    """Of each value how far it is off [G], and the readings then [G, M]."""
    lines = _along(
        moves, solved, places, [_knots(moves.inputs[i].least, moves.inputs[i].most) for i in places]
    )
    between = _along(moves, solved, places, [_steep(*line) for line in lines])
    found = []
    for row, more in zip(lines, between, strict=True):
        knots, first = np.unique(np.concatenate([row[0], more[0]]), return_index=True)
        spreads = _fine(knots)
        found.append((spreads, _drawn(knots, np.concatenate([row[1], more[1]])[first], spreads)))
    return found


def _along(
    moves: Moves, solved: Solved, places: tuple[int, ...], rows: list[Array]
) -> list[tuple[Array, Array]]:
    """Of each value the places of a row that settle, and the readings there: [K] and [K, M]."""
    engines = [moves.engine({i: off}) for i, row in zip(places, rows, strict=True) for off in row]
    if not engines:
        return [(row, np.zeros((0, 0))) for row in rows]
    read, ends = solved(engines), np.cumsum([len(row) for row in rows])[:-1]
    settled = np.split(np.logical_and.reduce(read.known, axis=1), ends)
    shown = np.split(read.pressure, ends)
    return [(row[of], at[of]) for row, at, of in zip(rows, shown, settled, strict=True)]


def _steep(knots: Array, pressure: Array) -> Array:
    """Places halfway between those from one to the next of which a reading changes much."""
    change = np.abs(np.diff(np.log(np.maximum(pressure, _LEAST)), axis=0)).max(axis=1)
    return np.asarray(((knots[1:] + knots[:-1]) / 2)[change > _MUCH])


def _knots(least: float, most: float) -> Array:
    return np.concatenate([least * _SHARES[::-1], [0.0], most * _SHARES])


def _fine(knots: Array) -> Array:
    """As many steps between any two as there are looked up, as long as what they lie between; one row a value."""
    count = 2 * len(_SHARES) * _BETWEEN + 1
    return np.interp(np.linspace(0, 1, count), np.linspace(0, 1, len(knots)), knots)


def _drawn(knots: Array, pressure: Array, spreads: Array) -> Array:
    """Readings [G, M] through those at the places that were solved [K, M], which rise."""
    from scipy.interpolate import PchipInterpolator  # noqa: PLC0415 - takes seconds, and few commands need it

    logs = np.log(np.maximum(pressure, _LEAST))
    return np.asarray(np.exp(PchipInterpolator(knots, logs, axis=0)(spreads)))


def _column(spreads: Array, line: Array, expected: Array) -> Array:
    """What one spread does: between both ends of the spread; where that is next to nothing, all the way to the end."""
    low, high = max(-1.0, spreads[0]), min(1.0, spreads[-1])
    ends = [np.array([np.interp(off, spreads, of) for of in line.T]) for off in (low, high)]
    within = (ends[1] - ends[0]) / (high - low)
    far = [(line[i] - expected) / spreads[i] for i in (0, -1) if spreads[i]]
    whole = max(far, key=lambda chord: float(np.linalg.norm(chord)))
    bent = np.linalg.norm(within) < _BENT * np.linalg.norm(whole)
    return np.asarray(whole if bent else within)
