"""What is known as a whole: which state of it, all of it at once, and where it comes from."""

from collections import Counter
from collections.abc import Iterator

from msgspec import Struct

from upfeed import __version__
from upfeed.answering.digests import program
from upfeed.answering.library import Library
from upfeed.judging.lexicon import lexicon
from upfeed.web.families import Family, family
from upfeed.web.parts import Part, part
from upfeed.web.rules import Rule, rule
from upfeed.web.words import Words, words


class Source(Struct, frozen=True, forbid_unknown_fields=True):
    """Where values come from."""

    id: str
    title: str
    kind: str


class Sources(Struct, frozen=True, forbid_unknown_fields=True):
    """Every source in order of id; values of parts and limits of rules name them."""

    sources: list[Source]


class LayerCount(Struct, frozen=True, forbid_unknown_fields=True):
    """What is in use of a folder that was laid over others, by its name."""

    layer: str
    parts: int
    families: int
    rules: int


class Counts(Struct, frozen=True, forbid_unknown_fields=True):
    """How much is known and judged by."""

    parts: int
    families: int
    sources: int
    rules: int


class KnowledgeIdentity(Struct, frozen=True, forbid_unknown_fields=True):
    """Which program, knowledge and rules are answered from, of what layers, and how much that is.

    The digests are those that answers carry: the same three always give the same answer to the same build.
    """

    version: str
    program: str
    knowledge: str
    rules: str
    layers: list[LayerCount]
    counts: Counts


class WholeKnowledge(Struct, frozen=True, forbid_unknown_fields=True):
    """Everything that is known and judged by, for use where there is no network."""

    identity: KnowledgeIdentity
    vocabulary: Words
    sources: list[Source]
    families: list[Family]
    parts: list[Part]
    rules: list[Rule]


def sources(library: Library) -> list[Source]:
    """All sources."""
    known = library.knowledge.sources
    return [Source(known[id_].id, known[id_].title, known[id_].kind) for id_ in sorted(known)]


def identity(library: Library) -> KnowledgeIdentity:
    """Which state of knowledge and rules a library is."""
    knowledge, rulebook = library.knowledge, library.rulebook
    return KnowledgeIdentity(
        version=__version__,
        program=program(),
        knowledge=knowledge.digest,
        rules=rulebook.digest,
        layers=list(_layers(library)),
        counts=Counts(
            parts=len(knowledge.parts),
            families=len(knowledge.families),
            sources=len(knowledge.sources),
            rules=len(rulebook.rules),
        ),
    )


def _layers(library: Library) -> Iterator[LayerCount]:
    things = (library.knowledge.parts, library.knowledge.families, library.rulebook.rules)
    parts, families, rules = (Counter(one.origin.layer for one in of.values()) for of in things)
    for layer in sorted({*parts, *families, *rules}):
        yield LayerCount(layer, parts[layer], families[layer], rules[layer])


def whole(library: Library) -> WholeKnowledge:
    """All of a library."""
    knowledge, vocabulary = library.knowledge, library.vocabulary
    names = lexicon(vocabulary)
    return WholeKnowledge(
        identity=identity(library),
        vocabulary=words(vocabulary),
        sources=sources(library),
        families=[family(knowledge.families[id_], vocabulary) for id_ in sorted(knowledge.families)],
        parts=[part(knowledge.parts[id_], vocabulary) for id_ in sorted(knowledge.parts)],
        rules=[rule(library.rulebook.rules[id_], names) for id_ in sorted(library.rulebook.rules)],
    )
