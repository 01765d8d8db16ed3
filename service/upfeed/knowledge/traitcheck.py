"""Checks of the vocabulary's traits: that what a kind is said to give can be read off its attributes."""

from collections.abc import Iterator, Mapping

from upfeed.knowledge.benchcheck import bench_trait_faults
from upfeed.knowledge.lobeways import BY_CARD, BY_TABLE
from upfeed.knowledge.vocabulary import Instead, Kind, Lobe
from upfeed.physics.timing import CARD
from upfeed.reading.faults import Fault, Origin, quoted
from upfeed.reading.nearest import either

LOBE_WAYS = (BY_CARD, BY_TABLE)
"""How a lobe may be given."""

LOBE_COLUMNS = ("angle", "length")
"""What the table of a lobe holds."""


def trait_faults(kinds: Mapping[str, Kind], folder: str) -> Iterator[Fault]:
    """Everything in the traits of kinds that no part could follow."""
    for kind in kinds.values():
        origin = Origin("vocabulary", f"{folder}/{kind.name}.yaml")
        yield from _lobe_faults(kind, origin)
        yield from bench_trait_faults(kind, origin)
        for name, instead in (kind.instead or {}).items():
            yield from _instead_faults(kind, instead, origin, f"{kind.name}, instead, {name}")


def _instead_faults(kind: Kind, instead: Instead, origin: Origin, path: str) -> Iterator[Fault]:
    """A name that does not stand for attributes of one quantity, one for each choice."""
    by = kind.attributes.get(instead.by)
    choices = (by.choices or {}) if by else {}
    if not choices:
        yield Fault(origin, path, f"by {quoted(instead.by)}", "an attribute with choices")
    elif set(instead.of) != set(choices):
        yield Fault(origin, path, f"of {either(instead.of)}", f"one for each of {either(choices)}")
    of = [kind.attributes.get(name) for name in instead.of.values()]
    quantities = {attribute.quantity if attribute else None for attribute in of}
    if None in quantities or len(quantities) != 1:
        yield Fault(origin, path, either(instead.of.values()), "attributes of one quantity")


def _lobe_faults(kind: Kind, origin: Origin) -> Iterator[Fault]:
    if not kind.lobes:
        return
    chosen = kind.attributes.get(kind.lobes_from or "")
    if chosen is None or set(chosen.choices or ()) != set(LOBE_WAYS):
        expected = f"an attribute with the choices {' and '.join(LOBE_WAYS)}"
        yield Fault(origin, f"{kind.name}, lobes_from", quoted(kind.lobes_from or ""), expected)
    for name, lobe in kind.lobes.items():
        yield from _one_lobe(kind, lobe, origin, f"{kind.name}, lobes, {name}")


def _one_lobe(kind: Kind, lobe: Lobe, origin: Origin, path: str) -> Iterator[Fault]:
    if set(lobe.card) != set(CARD):
        yield Fault(origin, f"{path}, card", ", ".join(lobe.card) or "nothing", ", ".join(CARD))
    table = kind.attributes.get(lobe.table)
    columns = tuple(column.quantity for column in table.table or ()) if table else ()
    if columns != LOBE_COLUMNS:
        yield Fault(origin, f"{path}, table", quoted(lobe.table), "a table of an angle and a length")
