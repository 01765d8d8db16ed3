"""Begins a part's file: every attribute of its kind, how it is measured, and room for its value."""

from collections.abc import Iterator

from upfeed.knowledge.records import Part, Value
from upfeed.knowledge.vocabulary import Attribute, Kind
from upfeed.reading import units


def part_scaffold(kind: Kind, id_: str, like: Part | None = None) -> str:
    """A file with one part, to be filled in; it loads as it is, with nothing known but what is `like` another part.

    A line that is left empty is unknown, and a check then asks for it where it matters.
    """
    return "".join(f"{line}\n" for line in (*_head(kind, id_, like), *_values(kind, like)))


def _head(kind: Kind, id_: str, like: Part | None) -> Iterator[str]:
    yield "format: 1"
    yield "# How the values came to be known: measured, published, typical or assumed; from what, with `source:`."
    yield "standing: assumed"
    yield "parts:"
    yield f"  - part: {id_}"
    yield f"    kind: {kind.name}"
    yield f'    name: "{id_}, name it"'
    yield '    maker: "not said"'
    yield "    numbers: []"
    relations = f"same_envelope_as: [{like.id}]" if like else ""
    yield "    # designed_for a family, shares_gallery_height, same_envelope_as, supplied_in_place_of, needs, excludes"
    yield f"    relations: {{{relations}}}"
    yield "    has:"


def _values(kind: Kind, like: Part | None) -> Iterator[str]:
    for attribute in kind.attributes.values():
        yield f"      # {attribute.definition}"
        yield f"      # {_expected(attribute)}; {attribute.how} ({attribute.tool})"
        given = like.has.get(attribute.name) if like else None
        yield f"      {attribute.name}: {_written(given)}".rstrip()


def _expected(attribute: Attribute) -> str:
    needed = "needed" if attribute.needed is True else _needed_where(attribute) or "a check can do without it"
    return f"{_form(attribute)}; {needed}"


def _form(attribute: Attribute) -> str:
    if attribute.choices is not None:
        return " | ".join(attribute.choices)
    if attribute.table is not None:
        return "pairs of " + " and ".join(
            f"{c.name.replace('_', ' ')} ({c.shown_in})" for c in attribute.table
        )
    if attribute.usual is None or attribute.quantity is None:
        return f"in {attribute.shown_in}" if attribute.shown_in else "a number"
    low, high = (units.show(end, attribute.quantity, attribute.shown_in) for end in attribute.usual)
    return f"usually {low} to {high}"


def _needed_where(attribute: Attribute) -> str:
    if not isinstance(attribute.needed, dict):
        return ""
    return "needed with " + ", ".join(f"{by} {' or '.join(words)}" for by, words in attribute.needed.items())


def _written(value: Value | None) -> str:
    """A value of another part, assumed until somebody measures this one; a table and what follows are left out."""
    if value is None or value.follows_from or isinstance(value.magnitude, tuple):
        return ""
    return value.written
