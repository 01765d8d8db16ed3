"""Values as people write them (`0.052 in`, or with tolerance, standing and source) into SI values."""

from collections.abc import Collection

from msgspec import Struct

from upfeed.knowledge.records import STANDINGS, Magnitude, Standing, Value
from upfeed.knowledge.tables import read_table
from upfeed.knowledge.vocabulary import Attribute, Kind
from upfeed.reading.faults import Fault, Origin, quoted
from upfeed.reading.nearest import did_you_mean, either
from upfeed.reading.nodes import Mapping, Node, Scalar, described
from upfeed.reading.reader import Reader
from upfeed.reading.units import UnitFault, parse, parse_difference, show


class Defaults(Struct, frozen=True):
    """What holds for values that do not say otherwise, and the sources that may be named."""

    standing: Standing
    source: str
    sources: Collection[str]


class Notes(Struct, frozen=True):
    """Where faults go, and values that are possible but unusual."""

    faults: list[Fault]
    warnings: list[Fault]


def read_values(
    has: Reader | None, kind: Kind, defaults: Defaults, notes: Notes, pointer: str = ""
) -> dict[str, Value]:
    """All attributes given for a part of a kind; what can't be read is noted and left out."""
    if has is None:
        return {}
    has.only(*kind.attributes)
    found: dict[str, Value] = {}
    for name, attribute in kind.attributes.items():
        node = has.node(name)
        value = read_value(has, node, attribute, defaults, notes, f"{pointer}/{name}") if node else None
        if value:
            found[name] = value
    return found


def said_unknown(has: Node | None, kind: Kind) -> tuple[str, ...]:
    """Attributes written down as null: a build says of them that they are not known."""
    given = has.entries if isinstance(has, Mapping) else {}
    nulls = (name for name, node in given.items() if isinstance(node, Scalar) and node.form == "null")
    return tuple(name for name in nulls if name in kind.attributes)


def read_value(
    has: Reader, node: Node, attribute: Attribute, defaults: Defaults, notes: Notes, pointer: str
) -> Value | None:
    """One value of an attribute: a bare one, or a mapping with `is` and more."""
    if isinstance(node, Mapping):
        return _full_value(
            Reader(node, has.path_of(attribute.name), notes.faults), attribute, defaults, notes, pointer
        )
    read = _read(has, attribute.name, node, attribute, notes)
    if read is None:
        return None
    at = _origin(has, attribute.name, pointer)
    return Value(*read, defaults.standing, defaults.source, at)


def _full_value(
    given: Reader, attribute: Attribute, defaults: Defaults, notes: Notes, pointer: str
) -> Value | None:
    given.only("is", "plus_minus", "standing", "source", "note")
    node = given.node("is")
    if node is None:
        given.fault("is", "nothing", "the value under `is`")
        return None
    read = _read(given, "is", node, attribute, notes)
    # All is read before anything is given up, so that every fault is told at once.
    standing, source = given.one_of("standing", STANDINGS), _source(given, defaults)
    plus_minus, note = _tolerance(given, attribute), given.optional_text("note") or ""
    if read is None:
        return None
    return Value(
        *read,
        standing=next((s for s in STANDINGS if s == standing), defaults.standing),
        source=source,
        origin=_origin(given, "is", pointer),
        plus_minus=plus_minus,
        note=note,
    )


def _origin(given: Reader, key: str, pointer: str) -> Origin:
    at = given.origin(key)
    return Origin(at.layer, at.file, at.line, pointer if not at.layer else at.pointer)


def _source(given: Reader, defaults: Defaults) -> str:
    source = given.optional_text("source")
    if source is not None and source not in defaults.sources:
        given.fault("source", quoted(source), "a known source", did_you_mean(source, defaults.sources))
    return source or defaults.source


def _tolerance(given: Reader, attribute: Attribute) -> float | None:
    node = given.node("plus_minus")
    if node is None:
        return None
    if attribute.quantity is None:
        what = "a choice" if attribute.choices is not None else "a table"
        given.fault("plus_minus", described(node), f"none, since this is {what}")
        return None
    text = node.text if isinstance(node, Scalar) else described(node)
    try:
        size = parse_difference(text, attribute.quantity)
    except UnitFault as fault:
        given.fault("plus_minus", fault.found, fault.expected, fault.advice)
        return None
    if size < 0:
        given.fault("plus_minus", quoted(text), "how far it may be off, without a sign")
        return None
    return size


def _read(
    given: Reader, key: str, node: Node, attribute: Attribute, notes: Notes
) -> tuple[Magnitude, str] | None:
    """A value and how it is written, a table in few words."""
    if attribute.table is not None:
        return read_table(given, key, node, attribute.table)
    magnitude = _magnitude(given, key, node, attribute, notes)
    return None if magnitude is None or not isinstance(node, Scalar) else (magnitude, node.text)


def _magnitude(given: Reader, key: str, node: Node, attribute: Attribute, notes: Notes) -> float | str | None:
    if not isinstance(node, Scalar):
        given.fault(key, described(node), "a value")
        return None
    if node.form in ("null", "refused"):
        return None
    if attribute.choices is not None:
        return _choice(given, key, node, attribute.choices)
    return _number(given, key, node, attribute, notes)


def _choice(given: Reader, key: str, node: Scalar, choices: Collection[str]) -> str | None:
    if node.form == "text" and node.text in choices:
        return node.text
    given.fault(key, described(node), either(choices), did_you_mean(node.text, choices))
    return None


def _number(given: Reader, key: str, node: Scalar, attribute: Attribute, notes: Notes) -> float | None:
    assert attribute.quantity is not None
    if node.form == "boolean":
        given.fault(key, described(node), f"a {attribute.quantity.replace('_', ' ')}")
        return None
    try:
        value = parse(node.text, attribute.quantity)
    except UnitFault as fault:
        given.fault(key, fault.found, fault.expected, fault.advice)
        return None
    return value if _possible(given, key, node.text, value, attribute, notes) else None


def _possible(given: Reader, key: str, text: str, value: float, attribute: Attribute, notes: Notes) -> bool:
    if attribute.possible and not attribute.possible[0] <= value <= attribute.possible[1]:
        expected = f"{_range(attribute, attribute.possible)}, beyond which nothing is possible"
        given.fault(key, quoted(text), expected, _other_unit(text, attribute))
        return False
    if attribute.usual and not attribute.usual[0] <= value <= attribute.usual[1]:
        expected = f"usually {_range(attribute, attribute.usual)}"
        notes.warnings.append(Fault(given.origin(key), given.path_of(key), quoted(text), expected))
    return True


def _range(attribute: Attribute, ends: tuple[float, float]) -> str:
    assert attribute.quantity is not None
    low, high = (show(end, attribute.quantity, attribute.shown_in) for end in ends)
    return f"{low} to {high}"


_CONFUSED = {"in": "mm", "mm": "in", "thou": "mm", "psi": "bar", "bar": "psi", "C": "F", "F": "C"}
"""Units that get mistaken for one another at the bench."""


def _other_unit(text: str, attribute: Attribute) -> str:
    """Ask for the unit that may have been meant, where the number is possible in it."""
    number, _, unit = text.strip().rpartition(" ")
    other = _CONFUSED.get(unit)
    if not other or attribute.quantity is None or attribute.possible is None:
        return ""
    meant = parse(f"{number} {other}", attribute.quantity)
    return f"Was {number} {other} meant?" if attribute.possible[0] <= meant <= attribute.possible[1] else ""
