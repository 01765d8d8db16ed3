"""Begins a part's file: every attribute of its kind, how it is measured, and room for its value."""

from collections.abc import Iterator

from upfeed.knowledge.records import Part, Value
from upfeed.knowledge.vocabulary import Kind
from upfeed.text.measuring import expected, needed


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
        yield f"      # {expected(attribute)}; needed: {needed(attribute)}; {attribute.how} ({attribute.tool})"
        given = like.has.get(attribute.name) if like else None
        yield f"      {attribute.name}: {_written(given)}".rstrip()


def _written(value: Value | None) -> str:
    """A value of another part, assumed until somebody measures this one; a table and what follows are left out."""
    if value is None or value.follows_from or isinstance(value.magnitude, tuple):
        return ""
    return value.written
