"""Values of a build that may be off, and engines in which some of them are, in units of their spread."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from msgspec import Struct

from upfeed.knowledge.benches import reading
from upfeed.knowledge.build import Build
from upfeed.knowledge.impossible import can_be
from upfeed.knowledge.records import Magnitude, Value
from upfeed.knowledge.spreads import half_width
from upfeed.knowledge.stocks import Stock, stocks, variant_of
from upfeed.knowledge.variants import Variant
from upfeed.knowledge.vocabulary import Attribute, Vocabulary
from upfeed.knowledge.workedout import follows
from upfeed.physics.resistance import Array

FARTHEST = 16.0
"""Spreads that a value is moved at most: a bearing worn to three times its clearance, a relief spring that has lost a
third, a pump with five times its slip. Common practice of what a worn engine shows; no source."""

_HALVINGS = 8


class Uncertain(Struct, frozen=True):
    """A value that may be off by `half`, SI, to either side of what it is given as.

    `least` and `most` are how far it can be, in spreads: what the vocabulary and the rest of the part allow. The same
    attribute of all operating points is one value, as one thermometer reads them all; it goes by the first of them.
    """

    name: str
    slot: str
    at: str
    keys: tuple[str, ...]
    attribute: Attribute
    value: Value
    half: float
    least: float
    most: float

    def size(self, spreads: float) -> float:
        """What it is when it is so many spreads off, SI."""
        assert isinstance(self.value.magnitude, float)
        return self.value.magnitude + spreads * self.half


class Moves:
    """The uncertain values of a build in which nothing is missing, and the engines they can make of it."""

    def __init__(self, build: Build, vocabulary: Vocabulary) -> None:
        self._build = build
        self._stocks = {stock.key: stock for stock in stocks(build, vocabulary)}
        self._given = {key: _magnitudes(stock) for key, stock in self._stocks.items()}
        self.inputs = tuple(_uncertain(tuple(self._stocks.values()), vocabulary))

    def engine(self, spreads: Mapping[int, float]) -> Variant:
        """The build with some values off, each, by its place among the inputs, by so many spreads.

        Sizes that no part has together are brought half the way back until a part has them.
        """
        changed: dict[str, dict[str, Magnitude]] = {}
        for place, off in spreads.items():
            of = self.inputs[place]
            for key in of.keys:
                own = changed.setdefault(key, {})
                own[of.attribute.name] = _number(self._given[key][of.attribute.name]) + off * of.half
        known = {key: self._made(key, values) for key, values in changed.items()}
        return variant_of(self._build, {**self._given, **known})

    def _made(self, key: str, changed: Mapping[str, Magnitude]) -> dict[str, Magnitude]:
        """A part's values with some changed, as far as a part can have them, and what its bench flow then tells."""
        stock, given = self._stocks[key], self._given[key]
        for halving in range(_HALVINGS + 1):
            kept = 0.5**halving if halving < _HALVINGS else 0.0
            sizes = {n: _between(given[n], size, kept) for n, size in changed.items()}
            known = {**given, **sizes}
            read = reading(stock.kind, known)
            known |= {read.tells: float(read.size)} if read else {}
            alone = {n: np.array([size]) for n, size in known.items() if isinstance(size, float)}
            if can_be(stock.kind, alone, stock.has).all():
                break
        return known


def _uncertain(stocked: Sequence[Stock], vocabulary: Vocabulary) -> Iterator[Uncertain]:
    points = [stock for stock in stocked if stock.slot == "points"]
    for stock in stocked:
        if stock in points[1:]:
            continue
        for name, value in stock.has.items():
            half = half_width(value, vocabulary.spreads.get(f"{stock.kind.name}.{name}"))
            if half and not follows(stock.has, name):
                keys = tuple(p.key for p in points if name in p.has) if stock in points else (stock.key,)
                at = "all" if stock in points else stock.at
                ends = (-_reach(stock, name, -half), _reach(stock, name, half))
                attribute = stock.kind.attributes[name]
                yield Uncertain(f"{stock.slot}.{name}", stock.slot, at, keys, attribute, value, half, *ends)


def _reach(stock: Stock, name: str, half: float) -> float:
    """How many spreads of this sign a value can be off: within what is possible, halved until a part has it."""
    centre, possible = _number(stock.has[name].magnitude), stock.kind.attributes[name].possible
    room = FARTHEST
    if possible:
        end = possible[1] if half > 0 else possible[0]
        room = min(max((end - centre) / half, 0.0), FARTHEST)
    tried: Array = np.asarray(room * 0.5 ** np.arange(_HALVINGS))
    sound = can_be(stock.kind, _sizes(stock, name, centre + tried * half), stock.has)
    return float(np.max(np.where(sound, tried, 0.0)))


def _sizes(stock: Stock, name: str, column: Array) -> dict[str, Array]:
    given = {n: v.magnitude for n, v in stock.has.items() if isinstance(v.magnitude, float)}
    sizes = {n: np.full(len(column), magnitude) for n, magnitude in given.items()} | {name: column}
    words = {n: v.magnitude for n, v in stock.has.items()}
    read = reading(stock.kind, {**words, **sizes})
    return sizes | ({read.tells: np.broadcast_to(read.size, len(column))} if read else {})


def _magnitudes(stock: Stock) -> dict[str, Magnitude]:
    return {name: value.magnitude for name, value in stock.has.items()}


def _between(given: Magnitude, changed: Magnitude, share: float) -> float:
    return _number(given) + share * (_number(changed) - _number(given))


def _number(magnitude: Magnitude) -> float:
    assert isinstance(magnitude, float)
    return magnitude
