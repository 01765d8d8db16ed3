"""Tables as people write them, `[[-60 deg, 0 mm], [-50 deg, 0.4 mm]]`, into pairs of SI values."""

from upfeed.knowledge.records import Table
from upfeed.knowledge.vocabulary import Column
from upfeed.reading.faults import Fault, quoted
from upfeed.reading.nodes import Node, Scalar, Sequence, described
from upfeed.reading.reader import Reader
from upfeed.reading.units import UnitFault, parse, show, shown_in

MOST_READINGS = 1000
"""A reading each third of a degree, over a whole turn; a misprint must not fill the memory."""

Columns = tuple[Column, Column]


def read_table(given: Reader, key: str, node: Node, columns: Columns) -> tuple[Table, str] | None:
    """A table and what it says in few words; None where any of it can't be read, with every fault noted."""
    if not isinstance(node, Sequence):
        if not (isinstance(node, Scalar) and node.form in ("null", "refused")):
            given.fault(key, described(node), f"a list of {_pair(columns)}")
        return None
    if not 0 < len(node.items) <= MOST_READINGS:
        given.fault(key, f"{len(node.items)} readings", f"1 to {MOST_READINGS} of {_pair(columns)}")
        return None
    rows = [_row(given, f"{key} {i}", item, columns) for i, item in enumerate(node.items, 1)]
    table = tuple(row for row in rows if row is not None)
    return (table, _as_written(node, table)) if len(table) == len(rows) else None


def shown_table(table: Table, columns: Columns) -> str:
    """A table in few words, in SI units: "31 readings, 0 mm to 6.99 mm"."""
    of, values = columns[1], [value for _, value in table]
    low, high = (show(end, of.quantity, shown_in(of.shown_in)) for end in (min(values), max(values)))
    return f"{len(table)} readings, {low} to {high}"


def _pair(columns: Columns) -> str:
    return f"pairs of {' and '.join(column.name for column in columns)}"


def _row(given: Reader, place: str, node: Node, columns: Columns) -> tuple[float, float] | None:
    if not isinstance(node, Sequence) or len(node.items) != len(columns):
        if not (isinstance(node, Scalar) and node.form == "refused"):
            found = f"{len(node.items)} values" if isinstance(node, Sequence) else described(node)
            _fault(given, place, node, found, f"{' and '.join(c.name for c in columns)} in a pair")
        return None
    first, second = (_cell(given, place, n, of) for n, of in zip(node.items, columns, strict=True))
    return None if first is None or second is None else (first, second)


def _cell(given: Reader, place: str, node: Node, of: Column) -> float | None:
    if isinstance(node, Scalar) and node.form == "refused":
        return None
    if not isinstance(node, Scalar) or node.form == "null":
        _fault(given, place, node, described(node), f"the {of.name}")
        return None
    try:
        value = parse(node.text, of.quantity)
    except UnitFault as fault:
        _fault(given, place, node, fault.found, fault.expected, fault.advice)
        return None
    low, high = of.possible
    if low <= value <= high:
        return value
    ends = " to ".join(show(end, of.quantity, of.shown_in) for end in of.possible)
    _fault(given, place, node, quoted(node.text), f"{ends}, beyond which nothing is possible")
    return None


def _fault(given: Reader, place: str, node: Node, found: str, expected: str, advice: str = "") -> None:
    given.faults.append(Fault(node.origin, given.path_of(place), found, expected, advice))


def _as_written(node: Sequence, table: Table) -> str:
    """With the lowest and the highest of the second column as they stand there."""
    if len(table) < len(node.items):
        return ""
    values = [value for _, value in table]
    low, high = (_text(node.items[values.index(end)]) for end in (min(values), max(values)))
    return f"{len(table)} readings, {low} to {high}"


def _text(row: Node) -> str:
    last = row.items[-1] if isinstance(row, Sequence) else row
    return last.text.strip() if isinstance(last, Scalar) else ""
