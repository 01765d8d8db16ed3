"""Two parts side by side: what differs, what of it the oil feels, how one came for the other, what either does."""

from collections.abc import Iterator

from msgspec import Struct

from upfeed.advising.inplace.alone import alone, families_for, known_part
from upfeed.advising.inplace.effects import InFamily, beside, effects
from upfeed.answering.library import Library
from upfeed.knowledge.records import BuildSheet, Part, Value
from upfeed.knowledge.relations import PartGraph
from upfeed.knowledge.uses import uses
from upfeed.reading.faults import DataFaults, Fault, Origin


class Differing(Struct, frozen=True, forbid_unknown_fields=True):
    """An attribute in which two parts differ, as written (None where it is not given), and what it is used for.

    `used_for` names passages as kind.passage, and other things in words; empty where the oil does not feel it. `rules`
    are those that read it.
    """

    attribute: str
    first: str | None
    second: str | None
    used_for: tuple[str, ...]
    rules: tuple[str, ...]


class TwoParts(Struct, frozen=True, forbid_unknown_fields=True):
    """Everything that sets two parts of a kind apart.

    `chain` leads from the first, part by part, to the second, each supplied in place of the one before; or the other
    way round where `backwards`. `one_gallery_height` is None where nobody says what either was laid out for.
    """

    first: str
    second: str
    differences: tuple[Differing, ...]
    chain: tuple[str, ...]
    backwards: bool
    same_envelope: bool
    one_gallery_height: bool | None
    families: tuple[InFamily, ...]


def two_parts(library: Library, first: str, second: str, family: str | None = None) -> TwoParts:
    """Compare two parts of one kind, in one family or in all that either was designed for.

    Raises DataFaults for unknown names and for parts of different kinds.
    """
    one, other = known_part(library, first), known_part(library, second)
    if one.kind != other.kind:
        found, expected = f"a {other.kind}", f"a {one.kind}, as {first} is"
        raise DataFaults([Fault(Origin(file="command line"), second, found, expected)])
    graph = PartGraph(library.knowledge)
    told = [(f, effects(library, f, (one, other))) for f in families_for(library, (one, other), family)]
    forth, back = graph.substitution(first, second), graph.substitution(second, first)
    return TwoParts(
        first,
        second,
        tuple(_differences(library, graph, one, other)),
        chain=forth or back,
        backwards=bool(back and not forth),
        same_envelope=second in graph.same_envelope(first),
        one_gallery_height=graph.one_gallery_height(first, second),
        families=tuple(beside(f, does[first], does[second]) for f, does in told),
    )


def builds_of_two(
    library: Library, first: str, second: str, family: str | None = None
) -> Iterator[BuildSheet]:
    """The builds that are checked for two parts side by side. Raises DataFaults for unknown names."""
    parts = known_part(library, first), known_part(library, second)
    return (alone(library, f, part) for f in families_for(library, parts, family) for part in parts)


def _differences(library: Library, graph: PartGraph, one: Part, other: Part) -> Iterator[Differing]:
    used = uses(library.vocabulary)
    for difference in graph.differences(one.id, other.id):
        name = f"{one.kind}.{difference.attribute}"
        rules = tuple(rule.id for rule in library.rulebook.rules.values() if name in rule.reads)
        first, second = _written(difference.first), _written(difference.second)
        yield Differing(difference.attribute, first, second, used.get(name, ()), rules)


def _written(value: Value | None) -> str | None:
    return value.written if value else None
