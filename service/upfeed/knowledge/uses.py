"""What the oil's way takes from each attribute: the passages, the pump, the lobes, the preload, the way down."""

from collections.abc import Iterator

from upfeed.knowledge.vocabulary import Fact, Kind, Passage, Vocabulary

Used = tuple[str, str]
"""An attribute as kind.attribute, and what it is used for."""


def uses(vocabulary: Vocabulary) -> dict[str, tuple[str, ...]]:
    """By `kind.attribute`, everything it is used for, each once; what nothing uses is not there."""
    found: dict[str, dict[str, None]] = {}
    for name, use in _all(vocabulary):
        owner, _, attribute = name.partition(".")
        if owner in vocabulary.kinds and attribute in vocabulary.kinds[owner].attributes:
            found.setdefault(name, {})[use] = None
    return {name: tuple(names) for name, names in found.items()}


def _all(vocabulary: Vocabulary) -> Iterator[Used]:
    for kind in vocabulary.kinds.values():
        for passage in kind.passages.values():
            terms = (name for t in _of_passage(passage) for name in _meant(vocabulary, _full(kind, t)))
            yield from ((name, f"{kind.name}.{passage.name}") for name in terms)
        yield from ((_full(kind, term), use) for term, use in _of_kind(kind))
    for fact in vocabulary.facts.values():
        yield from ((name, fact.name) for name in _of_fact(fact))


def _full(kind: Kind, term: str) -> str:
    return term if "." in term else f"{kind.name}.{term}"


def _meant(vocabulary: Vocabulary, term: str) -> Iterator[str]:
    """Every attribute that a name which a passage takes may stand for, and what that goes by, as kind.attribute."""
    owner, _, name = term.partition(".")
    kind = vocabulary.kinds.get(owner)
    yield from (f"{owner}.{one}" for one in (kind.stands_for(name) if kind else (name,)))
    if kind and name in (kind.instead or {}):
        yield f"{owner}.{(kind.instead or {})[name].by}"


def _of_passage(passage: Passage) -> Iterator[str]:
    terms = [term for binding in passage.laws.values() for term in binding.takes.values()]
    others = (*passage.by, passage.count, passage.fills, passage.opens_at)
    more = (*(passage.draws or {}).values(), *(passage.bypass or {}).values(), *others)
    yield from (term for term in (*terms, *more) if isinstance(term, str) and not term.startswith("turn."))


def _of_kind(kind: Kind) -> Iterator[Used]:
    if kind.source:
        yield from ((term, "what the pump delivers") for term in kind.source.takes.values())
        yield from ((term, "first oil") for term in (kind.source.fills,) if term)
    yield from ((term, "the oil itself") for term in (kind.fluid or {}).values())
    for name, lobe in (kind.lobes or {}).items():
        yield from ((term, f"the {name} lobe") for term in (*lobe.card.values(), lobe.table))
    yield from ((term, "the lobes") for term in (kind.lobes_from,) if term)
    if kind.base_circle:
        yield kind.base_circle, "how high the lifters stand"
    if kind.stack:
        lengths = (term for m in kind.stack.members for term in (m.length, m.material) if term)
        yield from ((term, "the preload") for term in (*lengths, kind.stack.ratio, kind.stack.travel))
    if kind.bench:
        yield from ((term, "its bench flow") for term in kind.bench.readings)


def _of_fact(fact: Fact) -> Iterator[str]:
    return (name for name in fact.takes if "." in name)
