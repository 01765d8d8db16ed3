"""How far a known value may be off: by the tolerance stated with it, else by its standing."""

from collections.abc import Mapping

from msgspec import Struct

from upfeed.knowledge.records import Standing, Value


class Size(Struct, frozen=True):
    """How far off to either side: in SI, or as a share of the value."""

    amount: float
    is_share: bool

    def of(self, magnitude: float) -> float:
        """In SI, for a value of this magnitude."""
        return self.amount * abs(magnitude) if self.is_share else self.amount


class Spread(Struct, frozen=True):
    """Of an attribute: how far its values may be off, by standing; `name` is what the vocabulary calls it."""

    name: str
    sizes: dict[Standing, Size]


Spreads = Mapping[str, Spread]
"""By `kind.attribute`; what has none is exact."""


def half_width(value: Value, spread: Spread | None) -> float:
    """Half of the range that a value may lie in, SI; 0 for a choice, a table and what is exact.

    Both a stated tolerance and a spread are bounds with all between them equally likely, which is how
    JCGM 100:2008, 4.3.7, reads bounds of which nothing more is known.
    """
    if not isinstance(value.magnitude, float):
        return 0.0
    if value.plus_minus is not None:
        return value.plus_minus
    return spread.sizes[value.standing].of(value.magnitude) if spread else 0.0
