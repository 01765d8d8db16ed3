"""Sentences of a rule: plain text with {name} only, each name filled in with a value and its unit."""

import re
from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from upfeed.judging.dimension import Number
from upfeed.judging.lexicon import Lexicon, Name
from upfeed.judging.syntax import LanguageFault, Mistake
from upfeed.judging.terms import Reading
from upfeed.reading import units
from upfeed.reading.nearest import did_you_mean, either

System = Literal["shop", "si"]
"""Whose units a sentence uses: those of the shop, or their metric counterparts."""

UNKNOWN = "unknown"

_FIELD = re.compile(r"\{([^{}]*)\}")


class Field(Struct, frozen=True):
    """A place in a sentence where a name's value goes."""

    name: str
    shown: Name


class Message(Struct, frozen=True):
    """A sentence, cut up at its names."""

    pieces: tuple[str | Field, ...]

    @property
    def names(self) -> frozenset[str]:
        """The names filled in."""
        return frozenset(piece.name for piece in self.pieces if isinstance(piece, Field))


def compile_message(text: str, lexicon: Lexicon) -> Message:
    """A sentence whose {names} are all in the lexicon.

    Raises LanguageFault with every name that is not, and every brace that holds none.
    """
    pieces: list[str | Field] = []
    mistakes: list[Mistake] = []
    end = 0
    for match in _FIELD.finditer(text):
        pieces.append(_plain(text, end, match.start(), mistakes))
        end = match.end()
        shown = lexicon.get(match[1])
        if shown is None:
            advice = did_you_mean(match[1], lexicon)
            mistakes.append(Mistake(*match.span(), match[0], "a name that this rule can read", advice))
        elif isinstance(shown.type, Number) and shown.quantity is None:
            mistakes.append(Mistake(*match.span(), f"{match[0]}, {shown.type}", "a quantity with a unit"))
        else:
            pieces.append(Field(match[1], shown))
    pieces.append(_plain(text, end, len(text), mistakes))
    if mistakes:
        raise LanguageFault(text, tuple(mistakes))
    return Message(tuple(piece for piece in pieces if piece))


def render(message: Message, seen: Mapping[str, tuple[Reading, ...]], system: System) -> str:
    """The sentence with each name's value, or with the range of the different values it was seen with."""
    return "".join(
        piece if isinstance(piece, str) else show(piece.shown, seen[piece.name], system)
        for piece in message.pieces
    )


def show(name: Name, seen: tuple[Reading, ...], system: System) -> str:
    """The values of a name in words: one, "0.04-0.07 in", "disc or orifice", or "unknown"."""
    known = [value for value in seen if value is not None]
    if not seen or len(known) < len(seen):
        return UNKNOWN
    if name.quantity is None:
        words = {str(value) for value in known}
        return either(sorted(word if name.proper else _in_plain_words(word) for word in words))
    numbers = [float(value) for value in known]
    unit = name.shown_in if system == "shop" else units.shown_in(name.shown_in)
    low, high = (
        units.show(value, name.quantity, unit, name.digits) for value in (min(numbers), max(numbers))
    )
    if low == high:
        return high
    return f"{low} to {high}" if min(numbers) < 0 else f"{low.partition(' ')[0]}-{high}"


def _in_plain_words(word: str) -> str:
    return word.replace("_", " ").replace(".", " ")


def _plain(text: str, start: int, end: int, mistakes: list[Mistake]) -> str:
    for at in range(start, end):
        if text[at] in "{}":
            mistakes.append(
                Mistake(at, at + 1, f"a single {text[at]}", "braces round a name, as {lifter.name}")
            )
    return text[start:end]
