"""A shop's spreadsheet of parts into a file of the knowledge base, all of it or none, and back."""

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from upfeed.keeping.columns import LISTS, OF_THE_PART, Column, Reading, columns_of
from upfeed.keeping.sheetcells import as_meant, defused, rows_of
from upfeed.knowledge.impossible import impossible
from upfeed.knowledge.partfile import RELATIONS, read_part
from upfeed.knowledge.records import STANDINGS, Part
from upfeed.knowledge.values import Defaults, Notes
from upfeed.knowledge.vocabulary import Attribute, Kind, Vocabulary
from upfeed.knowledge.workedout import as_given
from upfeed.reading import units
from upfeed.reading.faults import Fault, Origin
from upfeed.reading.nodes import Mapping as Tree
from upfeed.reading.nodes import Node, Scalar
from upfeed.reading.nodes import Sequence as Row
from upfeed.reading.reader import Reader
from upfeed.reading.yamlwrite import Plain, write_yaml


class PartSheet(Struct, frozen=True):
    """The rows that are parts, as they would stand in a file, and what is wrong with the others."""

    parts: tuple[Mapping[str, Plain], ...]
    rejected: tuple[Fault, ...]


def read_sheet_of_parts(
    content: bytes, file: str, kind: Kind, reading: Reading, vocabulary: Vocabulary
) -> PartSheet:
    """Every row as a part of a kind, its cells with the unit of their column's head or their own."""
    faults: list[Fault] = []
    rows = rows_of(content, file, faults)
    if not rows:
        return PartSheet((), tuple(faults))
    (head, heads), *below = rows
    columns = columns_of(heads, kind, reading, head, faults)
    if faults:
        return PartSheet((), tuple(faults))
    parts = [made for at, cells in below if (made := _part(at, cells, columns, kind, faults))]
    _check(parts, kind, vocabulary, reading.defaults, faults)
    return PartSheet(tuple(plain for plain, _ in parts), tuple(faults))


_Made = tuple[Mapping[str, Plain], Node]


def _part(
    at: Origin, cells: Sequence[str], columns: Sequence[Column], kind: Kind, faults: list[Fault]
) -> _Made | None:
    """What the row would be in a file, and the tree that is read of it, every value at the row's line."""
    if len(cells) != len(columns):
        faults.append(Fault(at, "", f"{len(cells)} cells", f"{len(columns)}, as the head has"))
        return None
    plain: dict[str, Plain] = {"part": "", "kind": kind.name}
    has: dict[str, dict[str, Plain]] = {}
    for column, raw in zip(columns, cells, strict=True):
        if cell := as_meant(raw):
            _put(plain, has, column, cell)
    plain["has"] = {name: _value(value) for name, value in has.items() if "is" in value}
    for name, value in has.items():
        if "is" not in value:
            faults.append(Fault(at, name, "how far it may be off, and no value", "a value beside it"))
    return plain, _tree(plain, at)


def _put(plain: dict[str, Plain], has: dict[str, dict[str, Plain]], column: Column, cell: str) -> None:
    if column.holds == "word":
        plain[column.name] = cell
    elif column.holds == "list":
        words = [word.strip() for word in cell.split(";") if word.strip()]
        if column.name == "numbers":
            plain["numbers"] = words
        else:
            plain["relations"] = {**_mapping(plain.get("relations")), column.name: words}
    elif column.holds != "ignored":
        key = "is" if column.holds == "value" else "plus_minus"
        has.setdefault(column.name, {})[key] = _with_unit(cell, column.unit)


def _mapping(found: Plain | None) -> dict[str, Plain]:
    return dict(found) if isinstance(found, Mapping) else {}


def _with_unit(cell: str, unit: str) -> str:
    """The cell's own unit, else its column's."""
    return f"{cell} {unit}" if unit and not any(c.isalpha() or c in '%"°' for c in cell) else cell


def _value(value: Mapping[str, Plain]) -> Plain:
    return value if len(value) > 1 else value["is"]


def _tree(content: Plain, at: Origin) -> Node:
    if isinstance(content, Mapping):
        entries = {key: _tree(value, at) for key, value in content.items()}
        return Tree(entries, dict.fromkeys(entries, at), at)
    if isinstance(content, Sequence) and not isinstance(content, str):
        return Row([_tree(item, at) for item in content], at)
    return Scalar(str(content), "text", at)


def _check(
    parts: list[_Made], kind: Kind, vocabulary: Vocabulary, over: Defaults, faults: list[Fault]
) -> None:
    """As when the file is loaded; the faults name the spreadsheet's lines."""
    seen: dict[str, Origin] = {}
    for _, tree in parts:
        part = read_part(Reader(tree, "row", faults), over, vocabulary, Notes(faults, []))
        if part is None:
            continue
        faults.extend(impossible(kind, part.has, f"{part.kind} {part.id}"))
        first = seen.setdefault(part.id, part.origin)
        if first is not part.origin:
            faults.append(
                Fault(
                    part.origin,
                    f"row {part.id}",
                    "the id a second time",
                    f"each id once; the first is in line {first.line}",
                )
            )


def written(sheet: PartSheet, reading: Reading) -> str:
    """The parts of a spreadsheet as a file of the knowledge base."""
    defaults = {"standing": reading.defaults.standing, "source": reading.defaults.source}
    head = {name: word for name, word in defaults.items() if word}
    return write_yaml({"format": 1, **head, "parts": sheet.parts})


def write_sheet_of_parts(parts: Iterable[Part], kind: Kind) -> str:
    """Parts of a kind as comma-separated values (RFC 4180), every cell safe to open in a spreadsheet.

    What follows from other values, and tables, are left out; a value has its own unit in its cell.
    """
    told = [name for name, attribute in kind.attributes.items() if attribute.table is None]
    spread = [f"{name}_plus_minus" for name in told if kind.attributes[name].quantity]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow((*OF_THE_PART, *LISTS, *told, *spread))
    for part in parts:
        writer.writerow(map(defused, (*_words(part), *_values(part, told), *_spreads(part, kind, told))))
    return out.getvalue()


def _words(part: Part) -> Iterator[str]:
    """One standing and source for the whole row: the weakest, so that no value claims more than it has."""
    weakest = max(part.has.values(), key=lambda value: STANDINGS.index(value.standing), default=None)
    stands = (weakest.standing, weakest.source) if weakest else ("", "")
    yield from (part.id, part.name, part.maker, *stands)
    yield "; ".join(part.numbers)
    yield from ("; ".join(part.relations.get(relation, ())) for relation in RELATIONS)


def _values(part: Part, names: Sequence[str]) -> Iterator[str]:
    given = as_given(part.has)
    return (given[name].written if name in given else "" for name in names)


def _spreads(part: Part, kind: Kind, names: Sequence[str]) -> Iterator[str]:
    for name in names:
        attribute, value = kind.attributes[name], part.has.get(name)
        if attribute.quantity:
            size = value.plus_minus if value else None
            yield "" if size is None else _difference(size, attribute)


def _difference(size: float, attribute: Attribute) -> str:
    if attribute.quantity == "temperature":  # a difference has no zero to count from
        return f"{size:.9g} K"
    return units.show(size, attribute.quantity or "", attribute.shown_in, digits=9)
