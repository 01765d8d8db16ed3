"""The computed numbers of two answers beside one another, each with its bounds or why there is none."""

from collections.abc import Iterator, Sequence

from upfeed.advising.comparing.comparison import Beside, Held, PointBeside
from upfeed.answering.answer import Answer, Computed, FailedPoint, SolvedPoint, UnknownPoint
from upfeed.flow.facts import rounded
from upfeed.flow.survey import ratio
from upfeed.knowledge.vocabulary import Fact, Vocabulary

Point = SolvedPoint | UnknownPoint | FailedPoint

NO_POINT = "its family has no such operating point"
BOUNDS_ONLY = "a measurement is missing; it lies within the bounds"


class Numbers:
    """Sets the numbers of a first and a second answer side by side."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._vocabulary = vocabulary

    def points(self, first: Answer, second: Answer) -> list[PointBeside]:
        """Every operating point of either answer."""
        one, other = ({point.point: point for point in answer.points} for answer in (first, second))
        return [self._point(name, one.get(name), other.get(name)) for name in dict.fromkeys((*one, *other))]

    def once(self, first: Sequence[Computed], second: Sequence[Computed]) -> list[Beside]:
        """What holds at every point."""
        return list(self._beside(first, second, (None, None)))

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
            own = one.get(name), other.get(name)
            some = next(computed for computed in own if computed)
            fact = self._vocabulary.facts[name.partition(".")[0]]
            values = tuple(computed.build if computed else None for computed in own)
            times = ratio(values[1], values[0]) if fact.compared else None
            yield Beside(
                name=name,
                point=some.point,
                unit=some.unit,
                first=values[0],
                second=values[1],
                times=None if times is None else rounded(times),
                first_band=own[0].band if own[0] else None,
                second_band=own[1].band if own[1] else None,
                first_lacks=_lacks(own[0], fact, lacks[0]),
                second_lacks=_lacks(own[1], fact, lacks[1]),
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
