"""Explanations as they go out: each value with what it would have to be, and the bench check that would show it."""

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct

from upfeed.advising.gauge.explaining import angles
from upfeed.advising.gauge.outcomes import Found
from upfeed.advising.gauge.pairing import SAME
from upfeed.advising.gauge.readinganswer import Cause, Explanation
from upfeed.advising.gauge.sensitivities import Sensitivities, Solved
from upfeed.answering.findings import measure
from upfeed.judging.message import System
from upfeed.knowledge.moves import Moves, Uncertain
from upfeed.physics.resistance import Array
from upfeed.reading import units

MOST_TOLD = 5
"""Explanations that are told; more help nobody."""

_UNTOLD = ("agrees", "impossible")


class _Off(Struct, frozen=True):
    """Felt values that are off together, by how many spreads, and those that would each do as well."""

    values: tuple[int, ...]
    spreads: tuple[float, ...]
    alike: tuple[int, ...]


class Causes:
    """The felt values of a build in the words and units of a shop, or in SI units."""

    def __init__(self, moves: Moves, of: Sensitivities, system: System) -> None:
        self._moves, self._of, self._system = moves, of, system

    def name(self, value: int) -> str:
        """What a felt value is called."""
        return self._input(value).name

    def explanations(self, found: Found, readings: Array, solved: Solved) -> list[Explanation]:
        """What explains readings [M], Pa, each with what remains of them on the engine as it would be."""
        told = [] if found.outcome in _UNTOLD else list(_told(found))
        if not told:
            return []
        places = [tuple(self._of.places[value] for value in one.values) for one in told]
        engines = [
            self._moves.engine(dict(zip(of, one.spreads, strict=True)))
            for of, one in zip(places, told, strict=True)
        ]
        left_over = readings - solved(engines).pressure
        return [self._explanation(one, found, left) for one, left in zip(told, left_over, strict=True)]

    def _explanation(self, one: _Off, found: Found, left_over: Array) -> Explanation:
        off = found.alone.fits.spreads
        causes = [self._cause(value, at) for value, at in zip(one.values, one.spreads, strict=True)]
        if len(causes) > 1:
            causes = [self._cause(v, s, self._alike(v)) for v, s in zip(one.values, one.spreads, strict=True)]
        return Explanation(
            causes=causes,
            alike=[self._cause(value, float(off[value])) for value in one.alike],
            stretch=round(max(map(abs, one.spreads)), 2),
            left_over=[float(round(left)) for left in left_over.tolist()],
        )

    def _alike(self, value: int) -> list[str]:
        """Those that do most for each spread first."""
        apart = angles(self._of.columns, self._of.expected)[value]
        does = np.linalg.norm(self._of.columns / self._of.expected, axis=1)
        others = [int(other) for other in np.flatnonzero(apart < SAME) if other != value]
        return [self.name(other) for other in sorted(others, key=lambda i: (-does[i], i))]

    def _cause(self, value: int, spreads: float, stands_for: Sequence[str] = ()) -> Cause:
        of = self._input(value)
        quantity = of.attribute.quantity
        return Cause(
            name=of.name,
            slot=of.slot,
            at=of.at,
            given=self._given(of),
            standing=of.value.standing,
            source=of.value.source or None,
            would_be=float(f"{spreads * of.half if of.slot == 'points' else of.size(spreads):.4g}"),
            unit=units.QUANTITIES[quantity].ucum if quantity else None,
            shown=self._warmer(of, spreads) if of.slot == "points" else self._shown(of, of.size(spreads)),
            spreads=round(spreads, 2),
            measure=measure(of.attribute),
            stands_for=list(stands_for),
        )

    def _warmer(self, of: Uncertain, spreads: float) -> str:
        """A temperature that was read: how much more or less it would have to be everywhere, in C, that is kelvins."""
        more = spreads * of.half
        return f"{abs(more):.2g} {of.attribute.shown_in} {'more' if more > 0 else 'less'} than read"

    def _given(self, of: Uncertain) -> str:
        if of.slot == "points":
            return "as read"
        return of.value.written if self._system == "shop" else self._shown(of, of.size(0.0))

    def _shown(self, of: Uncertain, size: float) -> str:
        unit = of.attribute.shown_in if self._system == "shop" else units.shown_in(of.attribute.shown_in)
        return units.show(size, of.attribute.quantity or "", unit, 4)

    def _input(self, value: int) -> Uncertain:
        return self._moves.inputs[self._of.places[value]]


def _told(found: Found) -> Iterator[_Off]:
    off = found.alone.fits.spreads
    for one in found.alone.ranked[:MOST_TOLD]:
        yield _Off((one.value,), (float(off[one.value]),), one.alike)
    for pair in found.pairs:
        yield _Off(pair.values, pair.spreads, ())
