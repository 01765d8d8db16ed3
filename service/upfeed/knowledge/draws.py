"""A build and its reference many times over, each known value somewhere within its spread.

What stands in both, the same value of the same part, is drawn alike in both, and so in any other build: what nobody
knows of it is the same in each of these engines. Parts that stand in several places are one batch and share their
draws; so does what is made one way.
"""

import numpy as np
from msgspec import Struct

from upfeed.knowledge.benches import reading
from upfeed.knowledge.build import Build
from upfeed.knowledge.impossible import can_be
from upfeed.knowledge.records import Value
from upfeed.knowledge.spreads import half_width
from upfeed.knowledge.stocks import Stock, stocks, variant_of
from upfeed.knowledge.strata import strata
from upfeed.knowledge.variants import Known, Variant
from upfeed.knowledge.vocabulary import Attribute, Vocabulary
from upfeed.knowledge.workedout import follows
from upfeed.physics.resistance import Array

_HALVINGS = 8


class Input(Struct, frozen=True):
    """A value that is drawn: what it is called, where it stands, and its draws [N], SI.

    `name` begins with `reference.` where it stands in the reference alone.
    """

    name: str
    slot: str
    at: str
    attribute: Attribute
    value: Value
    drawn: Array


class Draws(Struct, frozen=True):
    """N engines of the build and of its reference, draw by draw, and what was drawn."""

    inputs: tuple[Input, ...]
    builds: tuple[Variant, ...]
    references: tuple[Variant, ...]


def draws(build: Build, reference: Build, vocabulary: Vocabulary, count: int) -> Draws:
    """`count` draws of a build in which nothing is missing. Always the same for the same builds."""
    drawer = _Drawer(vocabulary, count)
    # The reference first: what the build shares with it goes by the build's name for it.
    references = drawer.engines(reference, "reference.")
    builds = drawer.engines(build, "")
    return Draws(drawer.inputs(), builds, references)


class _Drawer:
    def __init__(self, vocabulary: Vocabulary, count: int) -> None:
        self._vocabulary, self._count = vocabulary, count
        self._inputs: dict[str, Input] = {}

    def inputs(self) -> tuple[Input, ...]:
        """Everything that has a spread, in the order it was met."""
        return tuple(i for i in self._inputs.values() if np.ptp(i.drawn) > 0)

    def engines(self, build: Build, prefix: str) -> tuple[Variant, ...]:
        """All draws of a build."""
        rows = {stock.key: self._known(stock, prefix) for stock in stocks(build, self._vocabulary)}
        return tuple(
            variant_of(build, {key: row[i] for key, row in rows.items()}) for i in range(self._count)
        )

    def _known(self, stock: Stock, prefix: str) -> list[Known]:
        """What is known of a part in every draw."""
        fixed = {name: value.magnitude for name, value in stock.has.items()}
        spread = [n for n in stock.has if self._half(stock, n) and not follows(stock.has, n)]
        drawn = self._together(stock, {name: self._column(stock, name) for name in spread})
        for name, column in drawn.items():
            self._note(stock, name, column, prefix)
        drawn = drawn | self._following(stock, drawn)
        rows = np.array(list(drawn.values())).T.tolist() if drawn else [[]] * self._count
        return [fixed | dict(zip(drawn, row, strict=True)) for row in rows]

    def _half(self, stock: Stock, name: str) -> float:
        return half_width(stock.has[name], self._vocabulary.spreads.get(f"{stock.kind.name}.{name}"))

    def _column(self, stock: Stock, name: str) -> Array:
        """Anywhere within the spread alike, kept inside what is possible."""
        centre, possible = stock.has[name].magnitude, stock.kind.attributes[name].possible
        assert isinstance(centre, float)
        offset = 2 * strata(_key(stock, name), self._count) - 1
        column = centre + self._half(stock, name) * offset
        return np.clip(column, *possible) if possible else column

    def _together(self, stock: Stock, drawn: dict[str, Array]) -> dict[str, Array]:
        """Sizes that no part has together are brought half the way back to the values given, until a part has them."""
        given = {n: v.magnitude for n, v in stock.has.items() if isinstance(v.magnitude, float)}
        for halving in range(_HALVINGS + 1):
            sizes = {n: drawn.get(n, np.full(self._count, magnitude)) for n, magnitude in given.items()}
            sizes |= self._following(stock, drawn)
            sound = can_be(stock.kind, sizes, stock.has)
            if np.all(sound):
                break
            kept = 0.5 if halving < _HALVINGS else 0.0
            drawn = {n: np.where(sound, c, given[n] + kept * (c - given[n])) for n, c in drawn.items()}
        return drawn

    def _following(self, stock: Stock, drawn: dict[str, Array]) -> dict[str, Array]:
        """What a bench tells in every draw of its readings."""
        read = reading(stock.kind, {**{n: v.magnitude for n, v in stock.has.items()}, **drawn})
        return {read.tells: np.broadcast_to(read.size, self._count)} if read else {}

    def _note(self, stock: Stock, name: str, column: Array, prefix: str) -> None:
        key = _key(stock, name)
        known = self._inputs.get(key)
        attribute, value = stock.kind.attributes[name], stock.has[name]
        if known is None or prefix == "":
            of = stock.key.removeprefix("points.") if stock.slot == "points" else stock.slot
            self._inputs[key] = Input(f"{prefix}{of}.{name}", stock.slot, stock.at, attribute, value, column)


def _key(stock: Stock, name: str) -> str:
    """What the draws hang on, in every build alike: whose value it is, and as what a build gives it, if it does.

    Two sizes given of one thing were measured or made apart, however alike they are called.
    """
    value = stock.has[name]
    given = "" if value.origin.layer else f" given as {value.magnitude:.9g}"
    return f"{stock.thing}.{name}{given}"
