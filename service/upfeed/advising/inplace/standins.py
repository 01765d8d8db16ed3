"""What goes in a part's place: what the trade supplies first, then what takes up the same room; what each does."""

from collections.abc import Iterator

from msgspec import Struct

from upfeed.advising.inplace.alone import alone, families_for, known_part
from upfeed.advising.inplace.effects import InFamily, beside, effects
from upfeed.answering.library import Library
from upfeed.knowledge.records import BuildSheet
from upfeed.knowledge.relations import PartGraph


class StandIn(Struct, frozen=True, forbid_unknown_fields=True):
    """A part that goes where another goes: handed over in its place (by which chain), or of the same envelope only.

    `one_gallery_height`: laid out for the same height of the gallery; None where nobody says it of both.
    """

    part: str
    name: str
    chain: tuple[str, ...]
    one_gallery_height: bool | None
    effects: tuple[InFamily, ...]


class StandIns(Struct, frozen=True, forbid_unknown_fields=True):
    """What goes in a part's place: what the trade supplies first, then what takes up the same room."""

    part: str
    stand_ins: tuple[StandIn, ...]


def builds_of_stand_ins(library: Library, id_: str, family: str | None = None) -> Iterator[BuildSheet]:
    """The builds that are checked for what goes in a part's place. Raises DataFaults for unknown names."""
    part, others = known_part(library, id_), _instead(PartGraph(library.knowledge), id_)
    families = families_for(library, (part,), family) if others else []
    return (alone(library, f, known_part(library, one)) for f in families for one in (id_, *others))


def stand_ins(library: Library, id_: str, family: str | None = None) -> tuple[StandIn, ...]:
    """What the trade supplies in a part's place, then what else takes up the same room, each with what it does.

    Raises DataFaults for unknown names.
    """
    part, graph = known_part(library, id_), PartGraph(library.knowledge)
    chains = {other: graph.substitution(id_, other) for other in graph.supplied_for(id_)}
    others = _instead(graph, id_)
    parts = (part, *(known_part(library, other) for other in others))
    families = families_for(library, (part,), family) if others else []
    told = [(f, effects(library, f, parts)) for f in families]
    return tuple(
        StandIn(
            other,
            library.knowledge.parts[other].name,
            chains.get(other, ()),
            graph.one_gallery_height(id_, other),
            tuple(beside(f, does[id_], does[other]) for f, does in told),
        )
        for other in others
    )


def _instead(graph: PartGraph, id_: str) -> tuple[str, ...]:
    """What goes in a part's place: what is supplied, then what takes up the same room."""
    supplied = tuple(graph.supplied_for(id_))
    return (*supplied, *(other for other in graph.same_envelope(id_) if other not in supplied))
