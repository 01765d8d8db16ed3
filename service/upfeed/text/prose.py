"""Names as words, and sentences broken into lines."""

import textwrap
from collections.abc import Iterable, Iterator

WIDTH = 96
"""Characters a line."""


def wrapped(text: str, margin: str = "", hanging: str | None = None, width: int = WIDTH) -> Iterable[str]:
    """Lines of at most `width` characters, the first behind `margin`, the others behind `hanging`."""
    below = margin if hanging is None else hanging
    # File names and part numbers stay whole.
    return textwrap.wrap(text, width, initial_indent=margin, subsequent_indent=below, break_on_hyphens=False)


def words(name: str) -> str:
    """A name of the vocabulary as people say it: `lifter.feed_hole` is "lifter feed hole"."""
    plain = name.removeprefix("settings.").replace("_", " ").replace("-", " ").replace(".", " ")
    return plain.replace("blow by", "blow-by")


def listed(items: Iterable[str]) -> str:
    """Things in a sentence: "a", "a and b", "a, b and c"."""
    *others, last = items
    return f"{', '.join(others)} and {last}" if others else last


def bulleted(title: str, items: Iterable[str], width: int = WIDTH) -> Iterator[str]:
    """A title, and each thing on lines of its own behind a dash."""
    yield title
    for item in items:
        yield from wrapped(item, "  - ", "    ", width)
