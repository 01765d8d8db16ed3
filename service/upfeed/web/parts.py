"""Parts as the catalogue shows them: page by page in order of id, and one by one."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice

from msgspec import Struct

from upfeed.answering.answer import Written
from upfeed.answering.library import Library
from upfeed.knowledge.records import Knowledge
from upfeed.knowledge.records import Part as Record
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.web.cursor import cursor_after, read_cursor
from upfeed.web.known import Intent, KnownValue, Relation, intents, known_values, relations, written
from upfeed.web.query import canonical
from upfeed.web.ranges import read_ranges

Pairs = Sequence[tuple[str, str]]

PAGE, MOST_PARTS = 100, 500
"""Parts on a page: where no number is asked for, and at most."""


class PartBrief(Struct, frozen=True, forbid_unknown_fields=True):
    """A part in a list: the numbers it is sold under and the families it was designed for."""

    id: str
    kind: str
    name: str
    maker: str
    numbers: list[str]
    designed_for: list[str]


class Parts(Struct, frozen=True, forbid_unknown_fields=True):
    """A page of parts in order of id; `next` is the address of the following page, null on the last."""

    parts: list[PartBrief]
    next: str | None


class Part(Struct, frozen=True, forbid_unknown_fields=True, rename={"origin": "from"}):
    """All that is known of a part."""

    id: str
    kind: str
    name: str
    maker: str
    numbers: list[str]
    relations: list[Relation]
    intents: list[Intent]
    has: list[KnownValue]
    origin: Written


def part_page(library: Library, asked: Mapping[str, str], sizes: Pairs, address: str) -> Parts:
    """The parts that are asked for by kind, family, number and sizes, from where the page before ended."""
    knowledge, limit = library.knowledge, int(asked.get("limit", PAGE))
    ranges = read_ranges(sizes, library.vocabulary)
    after = read_cursor(asked["cursor"], knowledge.digest) if "cursor" in asked else ""
    chosen = (part for part in _selected(knowledge, asked, after) if all(one.holds(part) for one in ranges))
    found = list(islice(chosen, limit + 1))
    shown, following = found[:limit], None
    if len(found) > limit:
        cursor = cursor_after(shown[-1].id, knowledge.digest)
        following = f"{address}?{canonical({**asked, **dict(sizes), 'cursor': cursor})}"
    return Parts([_brief(part) for part in shown], following)


def _selected(knowledge: Knowledge, asked: Mapping[str, str], after: str) -> Iterator[Record]:
    kind, family, number = asked.get("kind"), asked.get("family"), asked.get("number")
    for id_ in sorted(id_ for id_ in knowledge.parts if id_ > after):
        part = knowledge.parts[id_]
        is_kind = kind in (None, part.kind)
        is_for = family is None or family in part.relations.get("designed_for", ())
        if is_kind and is_for and (number is None or number in (part.id, *part.numbers)):
            yield part


def part(record: Record, vocabulary: Vocabulary) -> Part:
    """A part with all its values."""
    return Part(
        id=record.id,
        kind=record.kind,
        name=record.name,
        maker=record.maker,
        numbers=list(record.numbers),
        relations=relations(record),
        intents=intents(record.intents),
        has=known_values(record.has, vocabulary.kinds[record.kind].attributes),
        origin=written(record.origin),
    )


def _brief(record: Record) -> PartBrief:
    designed_for = list(record.relations.get("designed_for", ()))
    return PartBrief(record.id, record.kind, record.name, record.maker, list(record.numbers), designed_for)
