"""Which attributes say where something stands, so that both ends of what is possible bound no flow."""

from collections.abc import Iterator, Mapping

from upfeed.knowledge.vocabulary import Kind, Vocabulary
from upfeed.physics.laws import LAWS

FOOT = "turn.foot"
"""The height of a lifter's foot stands on the base circle."""


def places(vocabulary: Vocabulary) -> frozenset[str]:
    """Attributes that feed a place of a law, as `kind.attribute`."""
    kinds = vocabulary.kinds
    terms = {name for kind in kinds.values() for term in _terms(kind) for name in _stands_for(kinds, term)}
    circles = {
        f"{k.name}.{k.base_circle}" for k in vocabulary.kinds.values() if k.base_circle and FOOT in terms
    }
    return frozenset(terms - {FOOT} | circles)


def _stands_for(kinds: Mapping[str, Kind], term: str) -> tuple[str, ...]:
    kind, _, name = term.partition(".")
    return tuple(f"{kind}.{one}" for one in kinds[kind].stands_for(name)) if kind in kinds else (term,)


def _terms(kind: Kind) -> Iterator[str]:
    """What a kind's passages take for places, of itself or of another slot."""
    for passage in kind.passages.values():
        for binding in passage.laws.values():
            for argument in LAWS[binding.law].places:
                term = binding.takes.get(argument)
                if isinstance(term, str):
                    yield term if "." in term else f"{kind.name}.{term}"
