"""Terms of a rule's line: what they are of, and how they are worked out from what was read."""

import math
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from msgspec import Struct

from upfeed.judging.dimension import Number, Word
from upfeed.judging.truth import Truth

Reading = float | str | None
"""What a name was read as: a number in SI, a word, or None for unknown."""
Readings = Mapping[str, Reading]
Run = Callable[[Readings], Any]
"""How a term is worked out: a number or a word as its type says, or None."""

_Operand = TypeVar("_Operand", float, str)


class Numeric(Struct, frozen=True):
    """A term that gives a finite number in SI, or None when it is unknown or undefined."""

    type: Number
    run: Callable[[Readings], float | None]


class Verbal(Struct, frozen=True):
    """A term that gives a word, or None when it is unknown; `literal` when it was written in quotes."""

    type: Word
    run: Callable[[Readings], str | None]
    literal: str | None = None


Term = Numeric | Verbal


def reads_number(name: str) -> Callable[[Readings], float | None]:
    """Reads a name that holds a number; TypeError when it holds something else."""

    def run(readings: Readings) -> float | None:
        value = readings.get(name)
        if type(value) is float:
            return value if value - value == 0.0 else None  # finite, and cheaper than asking
        if isinstance(value, str):
            raise TypeError(f"{name} holds a number, and was read as {value!r}")
        return None if value is None else _finite(float(value))

    return run


def reads_word(name: str) -> Callable[[Readings], str | None]:
    """Reads a name that holds a word; TypeError when it holds something else."""

    def run(readings: Readings) -> str | None:
        value = readings.get(name)
        if value is not None and not isinstance(value, str):
            raise TypeError(f"{name} holds a word, and was read as {value!r}")
        return value

    return run


def of_one(
    calculate: Callable[[float], float], operand: Callable[[Readings], float | None]
) -> Callable[[Readings], float | None]:
    """A number worked out from one."""

    def run(readings: Readings) -> float | None:
        value = operand(readings)
        return None if value is None else _defined(lambda: calculate(value))

    return run


def of_two(
    calculate: Callable[[float, float], float],
    left: Callable[[Readings], float | None],
    right: Callable[[Readings], float | None],
) -> Callable[[Readings], float | None]:
    """A number worked out from two; unknown when either is."""

    def run(readings: Readings) -> float | None:
        a, b = left(readings), right(readings)
        return None if a is None or b is None else _defined(lambda: calculate(a, b))

    return run


def compared(
    holds: Callable[[_Operand, _Operand], bool],
    left: Callable[[Readings], _Operand | None],
    right: Callable[[Readings], _Operand | None],
) -> Callable[[Readings], Truth]:
    """Whether something holds between two terms; unknown when either is."""

    def run(readings: Readings) -> Truth:
        a, b = left(readings), right(readings)
        return None if a is None or b is None else holds(a, b)

    return run


def _defined(calculate: Callable[[], float]) -> float | None:
    try:
        return _finite(calculate())
    except (ZeroDivisionError, ValueError):  # x / 0, and the root of a negative number
        return None


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
