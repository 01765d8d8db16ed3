"""A number of the build beside the reference's, and the bounds of both: of what is unknown, or of what is spread."""

from upfeed.answering.answer import Compared
from upfeed.flow.bands import Pairs
from upfeed.flow.facts import Column, Value, rounded
from upfeed.flow.named import ratio
from upfeed.judging.truth import agreed


def beside(
    column: Column, reference: Value, compared: bool, corners: int | None = None, pairs: Pairs | None = None
) -> Compared:
    """A column of cases beside the reference: the value that the first `corners` agree on (else null), and bounds.

    Further cases belong to the other limit of trapped air; they widen the band only. Where draws were made, nine of
    ten of them bound the number (under each limit) and its ratio; else the cases do.
    """
    value = agreed(column[:corners])
    share = ratio(value, reference) if compared else None
    return Compared(
        build=_wire(value),
        reference=reference,
        ratio=rounded(share) if share is not None else None,
        band=pairs.band if pairs else _band(column),
        ratio_band=pairs.ratio_band if pairs and compared else None,
    )


def _wire(value: object) -> float | str | None:
    if isinstance(value, float):
        return rounded(value)
    return value if isinstance(value, str) else None


def _band(column: Column) -> tuple[float, float] | None:
    numbers = [x for x in column if isinstance(x, float)]
    if len(numbers) < len(column) or len(set(numbers)) < 2:
        return None
    return rounded(min(numbers)), rounded(max(numbers))
