"""Within which bounds nine of ten draws of a number lie."""

from collections.abc import Sequence

from msgspec import Struct

from upfeed.flow.facts import Column, Value, rounded
from upfeed.flow.named import ratio

ENDS = (0.05, 0.95)

Band = tuple[float, float]


def band(column: Sequence[Value], count: int) -> Band | None:
    """The 5th and the 95th percentile of `count` draws under each limit, as far apart as any limit has them.

    None where the number is not known in every draw, or is none. Percentiles between two draws are interpolated
    (Hyndman and Fan 1996, definition 7).
    """
    numbers = [value for value in column if isinstance(value, float)]
    if not numbers or len(numbers) < len(column):
        return None
    limits = [sorted(numbers[first : first + count]) for first in range(0, len(numbers), count)]
    low, high = ([_quantile(limit, share) for limit in limits] for share in ENDS)
    return rounded(min(low)), rounded(max(high))


def _quantile(ordered: Sequence[float], share: float) -> float:
    """As `numpy.quantile`, to the bit; that takes a hundred times as long over so few numbers."""
    place = share * (len(ordered) - 1)
    below = int(place)
    within = place - below
    one, next_ = ordered[below], ordered[min(below + 1, len(ordered) - 1)]
    # Seen from the nearer of the two, so that rounding never leads past either.
    return one + (next_ - one) * within if within < 0.5 else next_ - (next_ - one) * (1 - within)


def ratio_band(above: Sequence[Value], below: Sequence[Value], count: int) -> Band | None:
    """Of one number over another, each pair from the same draw and under the same limit.

    Where one of them has one limit alone, that holds beside either of the other's.
    """
    times = max(len(above), len(below))
    pairs = zip(*((*column,) * (times // len(column)) for column in (above, below)), strict=True)
    return band([ratio(one, other) for one, other in pairs], count)


class Pairs(Struct, frozen=True):
    """A number of the build and of its reference in `count` draws under each limit, the two of a draw together."""

    count: int
    build: Column
    reference: Column

    @property
    def band(self) -> Band | None:
        """Of the build's number."""
        return band(self.build, self.count)

    @property
    def ratio_band(self) -> Band | None:
        """Of build over reference, draw by draw."""
        return ratio_band(self.build, self.reference, self.count)
