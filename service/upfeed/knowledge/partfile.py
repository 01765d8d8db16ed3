"""Reads parts: what they are, what is known of them, what they relate to and why they were made so."""

from upfeed.knowledge.records import STANDINGS, Intent, Part
from upfeed.knowledge.values import Defaults, Notes, read_values, said_unknown
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.knowledge.workedout import with_worked_out
from upfeed.reading.faults import quoted
from upfeed.reading.nearest import did_you_mean
from upfeed.reading.reader import Reader

RELATIONS = {
    "designed_for": "family",
    "shares_gallery_height": "part",
    "same_envelope_as": "part",
    "supplied_in_place_of": "part",
    "needs": "part",
    "excludes": "part",
}
"""Relations a part may have, and what they lead to."""

_KEYS = ("part", "kind", "name", "maker", "numbers", "relations", "intents", "has", "standing", "source")

NO_PARTS = ("points", "settings")
"""Kinds of the vocabulary that no part is of."""


def read_part(given: Reader, over: Defaults, vocabulary: Vocabulary, notes: Notes) -> Part | None:
    """One part; None where it has no id or no known kind."""
    id_, defaults = given.ident("part"), read_defaults(given, over)
    given.only(*_KEYS)
    kinds = {name: kind for name, kind in vocabulary.kinds.items() if name not in NO_PARTS}
    kind = given.one_of("kind", kinds)
    if kind is None and given.node("kind") is None:
        given.fault("kind", "nothing", "the kind of part")
    if not id_ or kind is None:
        return None
    given.path = f"{kind} {id_}"
    maker = given.text("maker")
    return Part(
        id=id_,
        kind=kind,
        name=given.text("name"),
        maker=maker,
        numbers=given.words("numbers"),
        has=with_worked_out(kinds[kind], read_values(given.mapping("has"), kinds[kind], defaults, notes)),
        relations=_relations(given.mapping("relations")),
        intents=read_intents(given, maker or id_, vocabulary),
        origin=given.origin("part"),
        unknown=said_unknown(given.node("has"), kinds[kind]),
    )


def read_defaults(given: Reader, over: Defaults) -> Defaults:
    """Standing and source for the values below, where they do not say otherwise."""
    standing, source = given.one_of("standing", STANDINGS), given.optional_text("source")
    if source is not None and source not in over.sources:
        given.fault("source", quoted(source), "a known source", did_you_mean(source, over.sources))
    chosen = next((s for s in STANDINGS if s == standing), over.standing)
    return Defaults(chosen, source or over.source, over.sources)


def read_intents(given: Reader, by: str, vocabulary: Vocabulary) -> tuple[Intent, ...]:
    """Why something was made so, each about attributes named as kind.attribute."""
    if given.node("intents") is None:
        return ()
    known = {f"{kind.name}.{name}" for kind in vocabulary.kinds.values() for name in kind.attributes}
    found = []
    for intent in given.mappings("intents"):
        intent.only("about", "says")
        about = intent.words("about")
        for name in about:
            if name not in known:
                intent.fault("about", quoted(name), "kind.attribute", did_you_mean(name, known))
        found.append(Intent(about, intent.text("says"), by))
    return tuple(found)


def _relations(given: Reader | None) -> dict[str, tuple[str, ...]]:
    if given is None:
        return {}
    given.only(*RELATIONS)
    named = ((name, given.words(name)) for name in RELATIONS if given.node(name) is not None)
    return {name: words for name, words in named if words}
