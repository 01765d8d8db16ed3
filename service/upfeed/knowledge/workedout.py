"""Values of a part that follow from others of it: the highest lift from the table of a lobe."""

from collections.abc import Iterator, Mapping

from upfeed.knowledge.lobeways import by_table
from upfeed.knowledge.records import Value
from upfeed.knowledge.vocabulary import Kind
from upfeed.reading.units import show

_LIFT = "lift"
_DIGITS = 4


def with_worked_out(kind: Kind, has: Mapping[str, Value]) -> dict[str, Value]:
    """What is given of a part of a kind, and with it what follows, in the order of the vocabulary.

    What cannot be is left for `impossible` to tell.
    """
    found = dict(_highest_lifts(kind, has))
    if not found:
        return dict(has)
    known = {**has, **found}
    return {name: known[name] for name in kind.attributes if name in known}


def as_given(has: Mapping[str, Value]) -> dict[str, Value]:
    """A part's values without those worked out from others."""
    return {name: value for name, value in has.items() if not value.worked_out}


def _highest_lifts(kind: Kind, has: Mapping[str, Value]) -> Iterator[tuple[str, Value]]:
    """Lobes read off as tables are as high as their highest reading, whatever a card says beside them."""
    for lobe in (kind.lobes or {}).values() if by_table(kind, has) else ():
        read = has.get(lobe.table)
        if read is None or not isinstance(read.magnitude, tuple):
            continue
        highest, name = max(lift for _, lift in read.magnitude), lobe.card[_LIFT]
        attribute = kind.attributes[name]
        yield (
            name,
            Value(
                magnitude=highest,
                written=show(highest, attribute.quantity or "", attribute.shown_in, _DIGITS),
                standing=read.standing,
                source=read.source,
                origin=read.origin,
                note=f"the highest reading of the {lobe.table.replace('_', ' ')}",
                worked_out=True,
            ),
        )
