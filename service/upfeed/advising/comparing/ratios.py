"""Within which bounds a number of one build over that of another lies, draw by draw of both."""

from functools import cached_property

from msgspec import Struct

from upfeed.advising.comparing.checked import Checked
from upfeed.flow.bands import Band, ratio_band
from upfeed.flow.facts import Value

NO_AMOUNT = "it is no amount, and has no ratio"
NO_DRAWS = "no draws were made"
NONE_OF_IT = "the first build has none of it"
IN_SOME_DRAWS = "in some draws it is not known of one of the builds, or the first has none of it"


class Bounded(Struct, frozen=True):
    """Nine of ten ratios lie within `band`; where there is none, why."""

    band: Band | None = None
    lacks: str | None = None


class Ratios:
    """Numbers of a second build over those of a first, each pair from the same draw.

    Each is drawn on its own, but a value that both share is the same in a draw of either: what they have in common
    cancels as far as it acts alike in both.
    """

    def __init__(self, first: Checked, second: Checked) -> None:
        self._first, self._second = first, second

    def of(self, name: str, first: Value, second: Value) -> Bounded:
        """The bounds of a fact's ratio by its full name; `first` and `second` are what it is as values are given."""
        if lacks := self._undrawn or _without_ratio(first, second):
            return Bounded(lacks=lacks)
        below, above = self._first.evidence.drawn(name), self._second.evidence.drawn(name)
        count = self._first.answer.how_sure.samples
        band = ratio_band(above, below, count) if above and below else None
        return Bounded(band) if band else Bounded(lacks=IN_SOME_DRAWS)

    @cached_property
    def _undrawn(self) -> str | None:
        """Why one of the two has no draws."""
        for side, checked in (("first", self._first), ("second", self._second)):
            if not checked.whole:
                return f"something of the {side} build is not known, and nothing of it was drawn"
            if not checked.answer.how_sure.samples:
                return NO_DRAWS
        return None


def _without_ratio(first: Value, second: Value) -> str | None:
    unknown = [side for side, value in (("first", first), ("second", second)) if value is None]
    if unknown:
        return f"it is not known of the {' and the '.join(unknown)} build"
    return NONE_OF_IT if first == 0 else None
