"""What the columns of a shop's spreadsheet mean: by their heads, or by a file that says so."""

import re
from collections.abc import Collection, Sequence
from typing import Literal

from msgspec import Struct

from upfeed.knowledge.partfile import RELATIONS, read_defaults
from upfeed.knowledge.values import Defaults
from upfeed.knowledge.vocabulary import Kind
from upfeed.reading.faults import Fault, Origin, quoted
from upfeed.reading.nearest import did_you_mean
from upfeed.reading.nodes import Node, Scalar
from upfeed.reading.reader import Reader

OF_THE_PART = ("part", "name", "maker", "standing", "source")
LISTS = ("numbers", *RELATIONS)
"""Columns that hold several words, set apart by semicolons."""

_PLUS_MINUS = "plus_minus"
_IGNORED = "ignore"
_HEAD = re.compile(r"(?P<name>[^(\[]+?)\s*(?:[(\[]\s*(?P<unit>[^)\]]+?)\s*[)\]])?")


class Column(Struct, frozen=True):
    """A column: which word of a part, list or attribute it holds (or how far that may be off), and its usual unit."""

    name: str
    holds: Literal["word", "list", "value", "plus_minus", "ignored"]
    unit: str = ""


class Reading(Struct, frozen=True):
    """How a spreadsheet is to be read: columns by their heads, and what holds for values that do not say otherwise."""

    columns: dict[str, Column]
    defaults: Defaults


def columns_of(
    heads: Sequence[str], kind: Kind, reading: Reading, at: Origin, faults: list[Fault]
) -> list[Column]:
    """What each column holds; a head that means nothing, or the same as another, is a fault."""
    columns = [_column(head.strip(), kind, reading, at, faults) for head in heads]
    told = [column for column in columns if column.holds != "ignored"]
    for name in sorted({column.name for column in told if _count(column, told) > 1}):
        faults.append(
            Fault(at, "", f"two columns for {name}", "one for each", "A file of columns may ignore one.")
        )
    if "part" not in {column.name for column in told}:
        faults.append(Fault(at, "", "no column with the parts' ids", "a column named part"))
    return columns


def _column(head: str, kind: Kind, reading: Reading, at: Origin, faults: list[Fault]) -> Column:
    match = _HEAD.fullmatch(head)
    column = reading.columns.get(head) or (
        _named(_plain(match["name"]), match["unit"], kind) if match else None
    )
    if column is None:
        advice = did_you_mean(_plain(head), _words(kind)) or "A file of columns may name it, or ignore it."
        faults.append(Fault(at, "", f"the column {quoted(head)}", f"what is known of a {kind.name}", advice))
    return column or Column("", "ignored")


def _count(column: Column, columns: Sequence[Column]) -> int:
    return sum((other.name, other.holds) == (column.name, column.holds) for other in columns)


def read_reading(node: Node | None, kind: Kind, sources: Collection[str], faults: list[Fault]) -> Reading:
    """A file of columns: `standing`, `source`, and under `columns` by head a `name`, or `{is: name, unit: mm}`."""
    assumed = Defaults("assumed", "", sources)
    if node is None:
        return Reading({}, assumed)
    content = Reader(node, "", faults)
    content.only("format", "standing", "source", "columns")
    content.format()
    given = content.mapping("columns")
    heads = given.items() if given else ()
    named = {head.strip(): _given(given, head, at, kind) for head, at, _ in heads if given}
    columns = {head: column for head, column in named.items() if column}
    return Reading(columns, read_defaults(content, assumed))


def _given(columns: Reader, head: str, node: Node, kind: Kind) -> Column | None:
    name, unit = node.text if isinstance(node, Scalar) else "", ""
    if not isinstance(node, Scalar):
        given = Reader(node, columns.path_of(head), columns.faults)
        given.only("is", "unit")
        name, unit = given.text("is"), given.optional_text("unit") or ""
    if name == _IGNORED:
        return Column("", "ignored")
    column = _named(name, unit, kind)
    if column is None and name:
        known = (_IGNORED, *_words(kind))
        columns.fault(head, quoted(name), f"what is known of a {kind.name}", did_you_mean(name, known))
    return column


def _words(kind: Kind) -> tuple[str, ...]:
    return (*OF_THE_PART, *LISTS, *kind.attributes)


def _plain(head: str) -> str:
    """A head as the vocabulary would write it: "Feed hole" is feed_hole."""
    return re.sub(r"[\s_-]+", "_", head.strip().casefold())


def _named(name: str, unit: str | None, kind: Kind) -> Column | None:
    if name in OF_THE_PART:
        return Column(name, "word")
    if name in LISTS:
        return Column(name, "list")
    attribute = name.removesuffix(f"_{_PLUS_MINUS}")
    if attribute in kind.attributes and kind.attributes[attribute].table is None:
        return Column(attribute, "value" if attribute == name else "plus_minus", unit or "")
    return None
