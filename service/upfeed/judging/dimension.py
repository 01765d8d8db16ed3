"""Types of a rule's terms: numbers with a dimension, and words; what may be compared, added, multiplied."""

from collections.abc import Mapping

from msgspec import Struct

from upfeed.reading.units import QUANTITIES

Exponents = tuple[int, int, int, int, int]
"""Powers of kg, m, s, K and rad. SI counts the radian as 1; here it counts, so that a bare 30 is no angle."""

_RADIANS: Mapping[str, int] = {"angle": 1, "rotational_speed": 1}
_BASES = ("kg", "m", "s", "K", "rad")


class Number(Struct, frozen=True):
    """A number in SI. `absolute` marks a point on the temperature scale, not a difference of two."""

    dimension: Exponents
    absolute: bool = False

    @property
    def is_bare(self) -> bool:
        """Whether it is a ratio or a count."""
        return not any(self.dimension)

    def __str__(self) -> str:
        if self.is_bare:
            return "a bare number"
        if self.dimension == _TEMPERATURE:
            return "a temperature" if self.absolute else "a temperature difference"
        quantity = quantity_of(self)
        return _with_article(quantity.replace("_", " ")) if quantity else f"a number in {self._unit()}"

    def _unit(self) -> str:
        powers = zip(_BASES, self.dimension, strict=True)
        return " ".join(base if power == 1 else f"{base}^{power}" for base, power in powers if power)


class Word(Struct, frozen=True):
    """One of a few words, or any text (`words` None)."""

    words: frozenset[str] | None

    def __str__(self) -> str:
        return "text" if self.words is None else f"a choice ({', '.join(sorted(self.words))})"


class Unchecked(Struct, frozen=True):
    """A calculation that is wrong itself; whatever uses it cannot be checked before it is mended."""


Type = Number | Word | Unchecked

BARE = Number((0, 0, 0, 0, 0))
_TEMPERATURE: Exponents = (0, 0, 0, 1, 0)


def number(quantity: str) -> Number:
    """The type of a quantity's values."""
    kilogram, metre, second, kelvin = QUANTITIES[quantity].dimension
    return Number(
        (kilogram, metre, second, kelvin, _RADIANS.get(quantity, 0)), absolute=quantity == "temperature"
    )


def quantity_of(type_: Number) -> str | None:
    """The first quantity of this dimension, `ratio` for bare numbers; None when none has a name."""
    if type_.is_bare:
        return "ratio"
    return next((name for name in QUANTITIES if number(name) == type_), None)


def product(left: Number, right: Number) -> Number:
    """The type of left * right."""
    return Number(_combined(left, right, 1))


def quotient(left: Number, right: Number) -> Number:
    """The type of left / right."""
    return Number(_combined(left, right, -1))


def root(type_: Number) -> Number | None:
    """The type of the square root, or None where a power would be broken."""
    if any(power % 2 for power in type_.dimension):
        return None
    kilogram, metre, second, kelvin, radian = (power // 2 for power in type_.dimension)
    return Number((kilogram, metre, second, kelvin, radian))


def _combined(left: Number, right: Number, sign: int) -> Exponents:
    kilogram, metre, second, kelvin, radian = (
        a + sign * b for a, b in zip(left.dimension, right.dimension, strict=True)
    )
    return (kilogram, metre, second, kelvin, radian)


def _with_article(noun: str) -> str:
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"
