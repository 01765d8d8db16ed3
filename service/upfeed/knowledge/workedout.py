"""Values of a part that follow from others of it: by which way its lobes are given, and how high a table's lobe is."""

from collections.abc import Collection, Iterator, Mapping

from upfeed.knowledge.lobeways import by_table, way_given
from upfeed.knowledge.records import Magnitude, Value
from upfeed.knowledge.vocabulary import Kind
from upfeed.reading.units import show

_LIFT = "lift"
_DIGITS = 4


def with_worked_out(kind: Kind, has: Mapping[str, Value], unknown: Collection[str] = ()) -> dict[str, Value]:
    """What is given of a part of a kind, and with it what follows, in the order of the vocabulary.

    Nothing follows that is said to be `unknown`. What cannot be is left for `impossible` to tell.
    """
    way = {name: value for name, value in _lobes_from(kind, has) if name not in unknown}
    found = way | dict(_highest_lifts(kind, {**has, **way}))
    if not found:
        return dict(has)
    known = {**has, **found}
    return {name: known[name] for name in kind.attributes if name in known}


def as_given(has: Mapping[str, Value]) -> dict[str, Value]:
    """A part's values without those worked out from others."""
    return {name: value for name, value in has.items() if not value.worked_out}


def _lobes_from(kind: Kind, has: Mapping[str, Value]) -> Iterator[tuple[str, Value]]:
    """Where nobody says by which way lobes are given, and something is given by one way alone."""
    if kind.lobes_from is None or kind.lobes_from in has:
        return
    way, value = way_given(kind, has)
    if value is not None:
        yield kind.lobes_from, _following(way, way, value, f"since nothing but a {way} is given")


def _highest_lifts(kind: Kind, has: Mapping[str, Value]) -> Iterator[tuple[str, Value]]:
    """Lobes read off as tables are as high as their highest reading, whatever a card says beside them."""
    for lobe in (kind.lobes or {}).values() if by_table(kind, has) else ():
        read = has.get(lobe.table)
        if read is None or not isinstance(read.magnitude, tuple):
            continue
        highest, name = max(lift for _, lift in read.magnitude), lobe.card[_LIFT]
        attribute = kind.attributes[name]
        written = show(highest, attribute.quantity or "", attribute.shown_in, _DIGITS)
        yield (
            name,
            _following(highest, written, read, f"the highest reading of the {lobe.table.replace('_', ' ')}"),
        )


def _following(magnitude: Magnitude, written: str, value: Value, note: str) -> Value:
    """As well known as the value it follows from, and standing where that is written."""
    return Value(magnitude, written, value.standing, value.source, value.origin, note=note, worked_out=True)
