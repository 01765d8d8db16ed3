"""How everything is measured, kind by kind, as a guide for the bench in Markdown."""

from collections.abc import Iterator

from upfeed.knowledge.partfile import NO_PARTS
from upfeed.knowledge.vocabulary import Attribute, Kind, Vocabulary
from upfeed.reading import units
from upfeed.text.prose import listed, words

_HEAD = """# Measuring guide

What upfeed asks of each kind of part, what it means, how it is measured, and whether a check needs it.
Work on a cold, clean part on the bench; lay out hot parts to cool, and keep hands off parts that somebody may turn.
"""


def measuring_guide(vocabulary: Vocabulary) -> str:
    """A table a kind, in the order of the alphabet, settings and operating points last."""
    names = sorted(vocabulary.kinds, key=lambda name: (name in NO_PARTS, name))
    return "\n".join((_HEAD, *(_kind(vocabulary.kinds[name]) for name in names)))


def _kind(kind: Kind) -> str:
    title = words(kind.name).capitalize()
    rows = (_row(attribute) for attribute in kind.attributes.values())
    head = "| | what it is | how | tool | expected | needed |\n|---|---|---|---|---|---|\n"
    return f"## {title}\n\n{kind.definition.capitalize()}.\n\n{head}{''.join(rows)}"


def _row(attribute: Attribute) -> str:
    told = (
        f"`{attribute.name}`",
        attribute.definition,
        attribute.how,
        attribute.tool,
        expected(attribute),
        needed(attribute),
    )
    return f"| {' | '.join(cell.replace('|', '/') for cell in told)} |\n"


def expected(attribute: Attribute) -> str:
    """What its value looks like: choices, columns of a table, or what is usual."""
    if attribute.choices is not None:
        return " or ".join(attribute.choices)
    if attribute.table is not None:
        columns = (f"{words(column.name)} ({column.shown_in})" for column in attribute.table)
        return f"pairs of {listed(columns)}"
    if attribute.usual is None or attribute.quantity is None:
        return f"in {attribute.shown_in}" if attribute.shown_in else "a number"
    low, high = (units.show(end, attribute.quantity, attribute.shown_in) for end in attribute.usual)
    return f"usually {low} to {high}"


def needed(attribute: Attribute) -> str:
    """Whether a check can do without it."""
    return "; ".join(_needed(attribute))


def _needed(attribute: Attribute) -> Iterator[str]:
    if not isinstance(attribute.needed, dict):
        yield "always" if attribute.needed else "a check can do without"
    by_choices = attribute.needed if isinstance(attribute.needed, dict) else attribute.counts_where
    yield from (f"with {words(by)} {' or '.join(choices)}" for by, choices in by_choices.items())
