"""How a sheet to print is laid out: lines to write on, boxes to tick, numbers with their bands."""

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from upfeed.advising.sheet.benchsheet import Number
from upfeed.text.prose import wrapped

PAPER = 80
"""Characters a line: as printers and clipboards have them."""

BOX, BLANK = "[ ]", "_______"

_Item = TypeVar("_Item")


def on_paper(text: str, margin: str = "", hanging: str | None = None) -> Iterator[str]:
    """A text in lines that fit the paper."""
    yield from wrapped(text, margin, hanging, PAPER)


def in_rows(items: Sequence[_Item], each: int) -> Iterator[Sequence[_Item]]:
    """So many beside one another."""
    yield from (items[i : i + each] for i in range(0, len(items), each))


def ticked(text: str) -> Iterator[str]:
    """Something to tick off."""
    yield from on_paper(f"{BOX} {text}", "   ", "       ")


def shown(number: Number) -> str:
    """A number with its band where it has one."""
    if number.band_shown is None or number.band_shown.startswith(f"{number.shown} to "):
        return number.shown
    return f"{number.shown} ({number.band_shown})"


def said(number: Number) -> str:
    """A number, or why there is none."""
    return str(number.lacks) if number.value is None else shown(number)


def alike(items: Sequence[_Item], by: Callable[[_Item], object]) -> list[list[_Item]]:
    """Those of which the same is to be told, together, in the order of their first."""
    groups: list[list[_Item]] = []
    for item in items:
        group = next((g for g in groups if by(g[0]) == by(item)), None)
        if group is None:
            groups.append([item])
        else:
            group.append(item)
    return groups
