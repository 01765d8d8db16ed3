"""Reads one line of a rule as a Python expression, and says where in the line something is wrong."""

import ast
import warnings
from collections.abc import Callable, Iterable
from typing import TypeVar

from msgspec import Struct

Item = TypeVar("Item")
Result = TypeVar("Result")

LONGEST = 300
"""Characters; checked before anything is parsed."""
MOST_NODES = 80
DEEPEST = 16


class Mistake(Struct, frozen=True):
    """One thing wrong with a line, between two character columns (from 0, end excluded)."""

    start: int
    end: int
    found: str
    expected: str
    advice: str = ""


class LanguageFault(Exception):  # noqa: N818 - named as data faults are
    """A line that is no comparison or calculation, with every mistake found in it.

    None at all when only what it uses is wrong.
    """

    def __init__(self, text: str, mistakes: tuple[Mistake, ...]) -> None:
        self.text = text
        self.mistakes = mistakes
        super().__init__("\n".join(self.told(mistake) for mistake in mistakes))

    def told(self, mistake: Mistake) -> str:
        """The mistake in words, with a caret line under the offending columns."""
        advice = f" {mistake.advice}" if mistake.advice else ""
        return f"found {mistake.found}; expected {mistake.expected}.{advice}\n{self.marked(mistake)}"

    def marked(self, mistake: Mistake) -> str:
        """The line and, under it, carets where the mistake is."""
        carets = "^" * max(1, mistake.end - mistake.start)
        return f"    {self.text}\n    {' ' * mistake.start}{carets}"


def parse(text: str) -> ast.expr:
    """The expression in a line, as Python's own syntax tree.

    Raises LanguageFault for what is not one short Python expression on one line.
    """
    _check_characters(text)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            body = ast.parse(text, mode="eval").body
    except SyntaxError as error:
        at = min(max((error.offset or 1) - 1, 0), len(text))
        raise _fault(text, at, at + 1, f"a line that cannot be read ({error.msg})") from None
    except (ValueError, RecursionError, MemoryError):
        raise _fault(text, 0, len(text), "a line that cannot be read") from None
    _check_size(text, body)
    return body


def span(text: str, node: ast.expr) -> tuple[int, int]:
    """The character columns a node stands in (`ast` counts bytes of UTF-8)."""
    encoded = text.encode()
    end = len(encoded) if node.end_col_offset is None else node.end_col_offset
    return len(encoded[: node.col_offset].decode()), len(encoded[:end].decode())


def gathered(text: str, read: Callable[[Item], Result], items: Iterable[Item]) -> list[Result]:
    """What each item was read as.

    Raises LanguageFault with the mistakes of all items together.
    """
    results: list[Result] = []
    faults: list[LanguageFault] = []
    for item in items:
        try:
            results.append(read(item))
        except LanguageFault as fault:
            faults.append(fault)
    if faults:
        raise LanguageFault(text, tuple(mistake for fault in faults for mistake in fault.mistakes))
    return results


def _check_characters(text: str) -> None:
    if len(text) > LONGEST:
        short = text[:40] if text[:40].isprintable() else ""
        raise _fault(short, 0, len(short), f"{len(text)} characters", f"at most {LONGEST}")
    for at, character in enumerate(text):
        if not character.isprintable() or character in "\\#":
            readable = "".join(c if c.isprintable() else " " for c in text)
            raise _fault(readable, at, at + 1, f"the character {character!a}", "one line of plain text")
    if not text or text[0] == " ":
        raise _fault(text, 0, 1, "nothing at the start of the line")


def _check_size(text: str, body: ast.expr) -> None:
    layer: list[ast.AST] = [body]
    nodes = depth = 0
    while layer:
        nodes, depth = nodes + len(layer), depth + 1
        if nodes > MOST_NODES or depth > DEEPEST:
            raise _fault(text, 0, len(text), "a line with too much in it", "parts of it under `let`")
        layer = [child for node in layer for child in ast.iter_child_nodes(node)]


def _fault(
    text: str, start: int, end: int, found: str, expected: str = "one line of an expression"
) -> LanguageFault:
    return LanguageFault(text, (Mistake(start, end, found, expected),))
