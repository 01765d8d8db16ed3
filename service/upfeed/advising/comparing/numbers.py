"""The computed numbers of two answers beside one another, each with its bounds or why there is none."""

from collections.abc import Iterator, Sequence

from upfeed.advising.comparing.checked import Checked
from upfeed.advising.comparing.comparison import Beside, Held, PointBeside
from upfeed.advising.comparing.ratios import NO_AMOUNT, Bounded, Ratios
from upfeed.answering.answer import Computed, FailedPoint, SolvedPoint, UnknownPoint
from upfeed.flow.facts import rounded
from upfeed.flow.named import ratio
from upfeed.knowledge.vocabulary import Fact, Vocabulary

Point = SolvedPoint | UnknownPoint | FailedPoint

NO_POINT = "its family has no such operating point"
BOUNDS_ONLY = "a measurement is missing; it lies within the bounds"


class Numbers:
    """Sets the numbers of a first and a second build side by side."""

    def __init__(self, first: Checked, second: Checked, vocabulary: Vocabulary) -> None:
        self._first, self._second, self._vocabulary = first.answer, second.answer, vocabulary
        self._ratios = Ratios(first, second)

    def points(self) -> list[PointBeside]:
        """Every operating point of either."""
        one, other = ({point.point: point for point in of.points} for of in (self._first, self._second))
        return [self._point(name, one.get(name), other.get(name)) for name in dict.fromkeys((*one, *other))]

    def timing(self) -> list[Beside]:
        """What holds over the turn of the cam."""
        return list(self._beside(self._first.timing, self._second.timing, (None, None)))

    def preload(self) -> list[Beside]:
        """What the heights make of it, cold."""
        return list(self._beside(self._first.preload, self._second.preload, (None, None)))

    def _point(self, name: str, one: Point | None, other: Point | None) -> PointBeside:
        first, second = _held(one), _held(other)
        computed = self._beside(_computed(one), _computed(other), (first.lacks, second.lacks))
        return PointBeside(name, first, second, list(computed))

    def _beside(
        self, first: Sequence[Computed], second: Sequence[Computed], lacks: tuple[str | None, str | None]
    ) -> Iterator[Beside]:
        """Names of both in the order of the first; `lacks` is why one has no numbers at all."""
        one, other = ({computed.name: computed for computed in side} for side in (first, second))
        for name in dict.fromkeys((*one, *other)):
            yield self._told(one.get(name), other.get(name), lacks)

    def _told(
        self, one: Computed | None, other: Computed | None, lacks: tuple[str | None, str | None]
    ) -> Beside:
        some = one or other
        assert some is not None
        fact = self._vocabulary.facts[some.name.partition(".")[0]]
        first, second = one.build if one else None, other.build if other else None
        times = ratio(second, first) if fact.compared else None
        bounded = self._ratios.of(some.name, first, second) if fact.compared else Bounded(lacks=NO_AMOUNT)
        return Beside(
            name=some.name,
            point=some.point,
            unit=some.unit,
            first=first,
            second=second,
            times=None if times is None else rounded(times),
            times_band=bounded.band,
            first_band=one.band if one else None,
            second_band=other.band if other else None,
            first_lacks=_lacks(one, fact, lacks[0]),
            second_lacks=_lacks(other, fact, lacks[1]),
            times_band_lacks=bounded.lacks,
        )


def _held(point: Point | None) -> Held:
    if isinstance(point, SolvedPoint):
        return Held(point.speed_rpm, point.oil_temperature_c, None)
    return Held(None, None, point.reason if point else NO_POINT)


def _computed(point: Point | None) -> Sequence[Computed]:
    return point.computed if isinstance(point, SolvedPoint) else ()


def _lacks(computed: Computed | None, fact: Fact, whole: str | None) -> str | None:
    """Why a number is not there: nothing was computed, its engine has no such passage, or by what the fact is."""
    if computed is None:
        return whole or "its engine has nothing of the kind"
    if computed.build is not None:
        return None
    return BOUNDS_ONLY if computed.band is not None else f"not known here: {fact.definition}"
