"""The sizes at which an attribute is tried, in the steps a shop works in."""

from collections.abc import Iterable, Iterator, Sequence

from upfeed.advising.choosing.changes import tried_value
from upfeed.knowledge.records import Value
from upfeed.knowledge.vocabulary import Attribute
from upfeed.reading.units import parse, show, to_unit

_STEP_OF = {"in": 0.001, "thou": 1.0, "mm": 0.01}
"""A thou and a hundredth of a millimetre: what a shop sets and reads (common practice, no source)."""

_DIGITS = 3
"""For units that no tool of the shop has steps of."""

_ACROSS = 9
"""Sizes across the usual range in a first look."""

_ACROSS_ALL = 33
"""Sizes across all that is possible, where no part is known that helps."""

_TIMES = (0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.25, 1.5, 2.0)
"""Of the size that is there: the steps of common twist drills are closer, those of jets about these."""

_BETWEEN = 8
"""Sizes between two neighbours in a second look."""


def first_look(attribute: Attribute, near: Iterable[float]) -> tuple[Value, ...]:
    """Sizes across what is usual, and about those that the build or its design has, SI in `near`; in order."""
    low, high = attribute.usual or attribute.possible or (0.0, 0.0)
    across = (low + i * (high - low) / (_ACROSS - 1) for i in range(_ACROSS))
    about = (size * times for size in near for times in _TIMES)
    return _written(attribute, (*across, *about))


def between(attribute: Attribute, tried: Sequence[float], low: float, high: float) -> tuple[Value, ...]:
    """Sizes from those tried next below `low` to those next above `high`, SI, but for those tried already."""
    below = max((size for size in tried if size < low), default=low)
    above = min((size for size in tried if size > high), default=high)
    steps = [i / (_BETWEEN + 1) for i in range(1, _BETWEEN + 1)]
    if low == high:
        looked = [below + share * (above - below) for share in steps]
    else:
        looked = [end + share * (of - end) for end, of in ((below, low), (high, above)) for share in steps]
    return tuple(value for value in _written(attribute, looked) if value.magnitude not in tried)


def across(attribute: Attribute) -> tuple[Value, ...]:
    """Sizes across all that is possible, each as many times the one before; of what may be nothing, evenly."""
    assert attribute.possible is not None
    low, high = attribute.possible
    shares = [i / (_ACROSS_ALL - 1) for i in range(_ACROSS_ALL)]
    if low <= 0:
        return _written(attribute, (low + share * (high - low) for share in shares))
    return _written(attribute, (low * (high / low) ** share for share in shares))


def _written(attribute: Attribute, sizes: Iterable[float]) -> tuple[Value, ...]:
    """Each size once, as it is written in the shop, in order; what is not possible left out."""
    found = {value.magnitude: value for value in _possible(attribute, sizes)}
    return tuple(found[size] for size in sorted(found))


def _possible(attribute: Attribute, sizes: Iterable[float]) -> Iterator[Value]:
    assert attribute.quantity is not None
    assert attribute.possible is not None
    low, high = attribute.possible
    for size in sizes:
        written = in_steps(size, attribute)
        magnitude = parse(written, attribute.quantity)
        if low <= magnitude <= high:
            yield tried_value(magnitude, written)


def in_steps(size: float, attribute: Attribute) -> str:
    """A size SI as a shop would write it, in the step of the unit it is shown in."""
    assert attribute.quantity is not None
    unit = attribute.shown_in
    if attribute.quantity == "count":
        return str(round(size))
    step = _STEP_OF.get(unit)
    if step is None:
        return show(size, attribute.quantity, unit, _DIGITS)
    steps = round(to_unit(size, unit) / step)
    return show(parse(f"{steps * step:.6f} {unit}", attribute.quantity), attribute.quantity, unit, 8)
