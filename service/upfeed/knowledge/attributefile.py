"""Reads attributes of the vocabulary: what can be known of a part, how it is measured and what is possible."""

from upfeed.knowledge.vocabulary import Attribute, Column
from upfeed.reading.nodes import Node, Scalar, Sequence
from upfeed.reading.reader import Reader
from upfeed.reading.units import QUANTITIES, UnitFault, parse

_KEYS = (
    "quantity",
    "choices",
    "table",
    "shown_in",
    "definition",
    "measure",
    "possible",
    "usual",
    "needed",
    "counts_where",
)


def read_attribute(name: str, given: Reader) -> Attribute:
    """One attribute; what can't be read of it is noted as a fault."""
    given.only(*_KEYS)
    choices, table = given.mapping("choices"), _table(given)
    quantity = given.one_of("quantity", QUANTITIES) if choices is None and table is None else None
    measure = given.mapping("measure")
    if choices is None and table is None and quantity is None:
        given.fault("quantity", "nothing", "a quantity, choices with their meanings, or a table's columns")
    shown_in = given.optional_text("shown_in") or (QUANTITIES[quantity].shop if quantity else "")
    return Attribute(
        name=name,
        quantity=quantity,
        choices={n: choices.text(n) for n, _, _ in choices.items()} if choices else None,
        shown_in=shown_in,
        definition=given.text("definition"),
        how=measure.text("how") if measure else "",
        tool=measure.text("tool") if measure else "",
        possible=_range(given, "possible", quantity),
        usual=_range(given, "usual", quantity),
        needed=_needed(given),
        table=table,
        counts_where=_choices(given, "counts_where"),
    )


def _table(given: Reader) -> tuple[Column, Column] | None:
    if given.node("table") is None:
        return None
    columns = [_column(reader) for reader in given.mappings("table")]
    if len(columns) != 2:
        given.fault("table", f"{len(columns)} columns", "two columns")
        return None
    return columns[0], columns[1]


def _column(given: Reader) -> Column:
    given.only("name", "quantity", "shown_in", "possible")
    quantity = given.one_of("quantity", QUANTITIES)
    if quantity is None:
        given.fault("quantity", "nothing", "the quantity of this column")
    shown_in = given.optional_text("shown_in") or (QUANTITIES[quantity].shop if quantity else "")
    possible = _range(given, "possible", quantity) or (0.0, 0.0)
    return Column(given.text("name"), quantity or "", shown_in, possible)


def _range(given: Reader, key: str, quantity: str | None) -> tuple[float, float] | None:
    node = given.node(key)
    if quantity is None:
        return None
    if not isinstance(node, Sequence) or len(node.items) != 2:
        given.fault(key, "no pair of ends", f"[lowest, highest] {key} value")
        return None
    low, high = (_end(given, key, item, quantity) for item in node.items)
    return None if low is None or high is None else (low, high)


def _end(given: Reader, key: str, node: Node, quantity: str) -> float | None:
    try:
        return parse(node.text if isinstance(node, Scalar) else "", quantity)
    except UnitFault as fault:
        given.fault(key, fault.found, fault.expected, fault.advice)
        return None


def _needed(given: Reader) -> bool | dict[str, tuple[str, ...]]:
    node = given.node("needed")
    if node is None or isinstance(node, Scalar):
        return given.flag("needed", default=False)
    return _choices(given, "needed") or False


def _choices(given: Reader, key: str) -> dict[str, tuple[str, ...]]:
    """Choices of other attributes, by name."""
    by = given.mapping(key)
    return {name: by.words(name) for name, _, _ in by.items()} if by else {}
