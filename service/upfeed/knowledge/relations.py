"""The part graph: what was designed for what, what stands in for what, and what differs."""

from collections.abc import Iterator

import networkx as nx
from msgspec import Struct

from upfeed.knowledge.records import Knowledge, Part, Value


class Difference(Struct, frozen=True):
    """An attribute in which two parts of a kind differ; None where one of them has no value."""

    attribute: str
    first: Value | None
    second: Value | None


class PartGraph:
    """Parts and families as nodes, their relations as edges by name."""

    def __init__(self, knowledge: Knowledge) -> None:
        self._knowledge = knowledge
        self._graph: nx.MultiDiGraph[str] = nx.MultiDiGraph()
        self._graph.add_nodes_from((*knowledge.parts, *knowledge.families))
        for part in knowledge.parts.values():
            for relation, targets in part.relations.items():
                for target in targets:
                    self._graph.add_edge(part.id, target, key=relation)

    def sold_under(self, number: str) -> tuple[Part, ...]:
        """Parts that are sold under a number, their own id included."""
        return tuple(p for p in self._knowledge.parts.values() if number in (p.id, *p.numbers))

    def related(self, id_: str, relation: str) -> tuple[str, ...]:
        """What a part names in a relation, in the order given."""
        return tuple(target for _, target, name in self._graph.out_edges(id_, keys=True) if name == relation)

    def naming(self, id_: str, relation: str) -> tuple[str, ...]:
        """Parts that name this part or family in a relation, in order of id."""
        return tuple(
            sorted(other for other, _, name in self._graph.in_edges(id_, keys=True) if name == relation)
        )

    def same_envelope(self, id_: str) -> tuple[str, ...]:
        """Parts that take up the same room, through others too, in order of id; without the part itself."""
        return self._alike(id_, "same_envelope_as")

    def _alike(self, id_: str, relation: str) -> tuple[str, ...]:
        edges = ((u, v) for u, v, name in self._graph.edges(keys=True) if name == relation)
        alike: nx.Graph[str] = nx.Graph(edges)
        found = nx.node_connected_component(alike, id_) if id_ in alike else set()
        return tuple(sorted(set(found) - {id_}))

    def substitution(self, old: str, new: str) -> tuple[str, ...]:
        """The shortest chain by which `new` came to be offered for `old`; empty where there is none."""
        steps: nx.DiGraph[str] = nx.DiGraph(self._replacements())
        if old not in steps or new not in steps or not nx.has_path(steps, old, new):
            return ()
        return tuple(nx.shortest_path(steps, old, new))

    def gallery_height(self, id_: str) -> tuple[str, ...]:
        """Parts laid out for the same gallery height, through others too, in order of id; without the part itself."""
        return self._alike(id_, "shares_gallery_height")

    def one_gallery_height(self, first: str, second: str) -> bool | None:
        """Whether two parts are laid out for the same gallery height; None where nobody says it of both of them."""
        if second in (first, *self.gallery_height(first)):
            return True
        return False if self.gallery_height(first) and self.gallery_height(second) else None

    def families_of_one_gallery_height(self, family: str) -> tuple[str, ...]:
        """Families whose blocks share a gallery height with this one's, in order of id; without the family itself."""
        alike = {id_ for block in self._blocks(family) for id_ in (block, *self.gallery_height(block))}
        others = (id_ for id_ in self._knowledge.families if id_ != family)
        return tuple(sorted(id_ for id_ in others if alike.intersection(self._blocks(id_))))

    def _blocks(self, family: str) -> tuple[str, ...]:
        """The parts of a family's reference that are laid out for a gallery height and are blocks."""
        slots = self._knowledge.families[family].reference.slots
        named = (fitting.part for row in slots.values() for fitting in row if fitting.part)
        return tuple(
            id_ for id_ in named if self._knowledge.parts[id_].kind == "block" and self.gallery_height(id_)
        )

    def supplied_for(self, id_: str) -> tuple[str, ...]:
        """Parts that are supplied in place of this one, or of one that is, in order of id."""
        steps: nx.DiGraph[str] = nx.DiGraph(self._replacements())
        return tuple(sorted(nx.descendants(steps, id_))) if id_ in steps else ()

    def _replacements(self) -> Iterator[tuple[str, str]]:
        """Old and new."""
        return ((v, u) for u, v, name in self._graph.edges(keys=True) if name == "supplied_in_place_of")

    def differences(self, first: str, second: str) -> tuple[Difference, ...]:
        """What differs between two parts, by attribute. Raises KeyError for an unknown part."""
        one, other = self._knowledge.parts[first], self._knowledge.parts[second]
        return tuple(self._differing(one, other))

    def _differing(self, one: Part, other: Part) -> Iterator[Difference]:
        for attribute in dict.fromkeys((*one.has, *other.has)):
            mine, theirs = one.has.get(attribute), other.has.get(attribute)
            if (mine and mine.magnitude) != (theirs and theirs.magnitude):
                yield Difference(attribute, mine, theirs)
