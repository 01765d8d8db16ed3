"""The names a rule may read: what each is of, and in which unit it is shown."""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from upfeed.judging.dimension import Type, Word, number
from upfeed.knowledge.vocabulary import Attribute, Fact, Kind, Vocabulary

NO_SLOTS = ("points", "settings")
"""Kinds of the vocabulary that are no parts, so that no slot is named after them."""


class Name(Struct, frozen=True):
    """A readable name and how it is shown; `quantity` is None for words, `proper` ones stay as written.

    It is `told_by` what is given or solved, by what is known of the parts alone, or by draws of what values may be.
    """

    type: Type
    quantity: str | None
    shown_in: str
    digits: int = 3
    proper: bool = False
    told_by: str = "flow"


RATIO = Name(number("ratio"), "ratio", "")
PROPER_NAME = Name(Word(None), None, "", proper=True)

Lexicon = Mapping[str, Name]


def lexicon(vocabulary: Vocabulary) -> dict[str, Name]:
    """Every name a rule may read, apart from limits and calculations of its own.

    Slots are named as their kinds: `lifter.feed_hole`, `lifter.name`, `settings.preload`; the reference
    build's are `reference.lifter.feed_hole`, `reference.lifter.name`. Facts are `ways_up` (true once),
    `gallery_pressure.hot_idle` (at a point), `share_of_drop.lifter.metering.hot_idle` (of a passage), each also
    after `reference.`, and after `ratio.` where build and reference are compared.
    """
    names: dict[str, Name] = {}
    for kind in vocabulary.kinds.values():
        if kind.name not in NO_SLOTS:
            names[f"{kind.name}.name"] = names[f"reference.{kind.name}.name"] = PROPER_NAME
        for path, attribute in _attributes(kind):
            names[path] = names[f"reference.{path}"] = _of_attribute(attribute)
    for fact in vocabulary.facts.values():
        for path in _paths(fact, vocabulary):
            names[path] = _of_fact(fact)
            if fact.told_by != "draws":
                names[f"reference.{path}"] = names[path]
            if fact.compared and fact.quantity is not None:
                names[f"ratio.{path}"] = RATIO
    return names


def _attributes(kind: Kind) -> Iterator[tuple[str, Attribute]]:
    if kind.name != "points":  # what a point is, a rule reads through facts at that point
        for attribute in (a for a in kind.attributes.values() if a.table is None):
            yield f"{kind.name}.{attribute.name}", attribute


def _paths(fact: Fact, vocabulary: Vocabulary) -> list[str]:
    stems = [fact.name]
    if fact.scope == "part":
        stems = [
            f"{fact.name}.{kind.name}" for kind in vocabulary.kinds.values() if kind.name not in NO_SLOTS
        ]
    elif fact.scope == "passage":
        stems = [
            f"{fact.name}.{kind.name}.{way}" for kind in vocabulary.kinds.values() for way in kind.passages
        ]
    if fact.at == "once":
        return stems
    return [f"{stem}.{point}" for stem in stems for point in vocabulary.points]


def _of_attribute(attribute: Attribute) -> Name:
    if attribute.quantity is not None:
        return Name(number(attribute.quantity), attribute.quantity, attribute.shown_in)
    return Name(Word(frozenset(attribute.choices or ())), None, "")


def _of_fact(fact: Fact) -> Name:
    if fact.quantity is not None:
        digits = 2 if fact.shown_in == "%" else 3
        return Name(number(fact.quantity), fact.quantity, fact.shown_in, digits, told_by=fact.told_by)
    words = Word(frozenset(fact.choices) if fact.choices else None)
    proper = fact.told_by != "flow" and not fact.choices
    return Name(words, None, "", proper=proper, told_by=fact.told_by)
