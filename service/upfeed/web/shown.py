"""A part, a family or a rule by its id alone, as its own address gives it."""

from msgspec import Struct

from upfeed.answering.library import Library
from upfeed.judging.lexicon import lexicon
from upfeed.web.families import family
from upfeed.web.parts import part
from upfeed.web.rules import rule


def shown(library: Library, id_: str) -> Struct | None:
    """What goes by an id; None where nothing does, or only a number that parts are sold under."""
    knowledge, vocabulary = library.knowledge, library.vocabulary
    if id_ in knowledge.parts:
        return part(knowledge.parts[id_], vocabulary)
    if id_ in knowledge.families:
        return family(knowledge.families[id_], vocabulary)
    if id_ in library.rulebook.rules:
        return rule(library.rulebook.rules[id_], lexicon(vocabulary))
    return None
