"""What a rule's files are checked against, and how faults of the language become faults of the data."""

import re
from collections.abc import Callable, Collection, Iterable
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from upfeed.judging.dimension import Type
from upfeed.judging.lexicon import NO_SLOTS, Lexicon, Name, lexicon
from upfeed.judging.rules import Let, Limit
from upfeed.judging.syntax import LanguageFault
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading.faults import Fault, Origin

GALLERY = "gallery"
"""The one word of a walk that is no slot: where the pump delivers."""

CAMSHAFT = "camshaft"
"""A walk that begins here follows the valve train, which every engine has, not the oil."""

SNAKE = re.compile("[a-z][a-z0-9]*(_[a-z0-9]+)*")
"""Names that rules give to limits and calculations of their own."""

Compiled = TypeVar("Compiled")


class RuleTerms(Struct, frozen=True):
    """What a rule may use: names, slots, settings, sizes of parts, sources, and the limits of its area by full name."""

    names: Lexicon
    types: dict[str, Type]
    slots: frozenset[str]
    settings: frozenset[str]
    sizes: frozenset[str]
    sources: frozenset[str]
    limits: dict[str, Limit]


def rule_terms(vocabulary: Vocabulary, sources: Collection[str]) -> RuleTerms:
    """What all rules may use, before the limits of their areas."""
    names = lexicon(vocabulary)
    types = {name: shown.type for name, shown in names.items()}
    slots = frozenset(vocabulary.kinds) - frozenset(NO_SLOTS)
    settings = (
        frozenset(vocabulary.kinds["settings"].attributes) if "settings" in vocabulary.kinds else frozenset()
    )
    return RuleTerms(names, types, slots, settings, sizes_of_parts(vocabulary), frozenset(sources), {})


def sizes_of_parts(vocabulary: Vocabulary) -> frozenset[str]:
    """What of a part may be made to another size, by full name."""
    return frozenset(
        f"{kind.name}.{attribute.name}"
        for kind in vocabulary.kinds.values()
        if kind.name not in NO_SLOTS
        for attribute in kind.attributes.values()
        if attribute.quantity and attribute.possible
    )


def with_limits(terms: RuleTerms, limits: dict[str, Limit]) -> RuleTerms:
    """The terms of one area."""
    return replace(_extended(terms, {name: limit.shown for name, limit in limits.items()}), limits=limits)


def with_lets(terms: RuleTerms, lets: Iterable[Let]) -> RuleTerms:
    """The terms of one rule."""
    return _extended(terms, {let.name: let.shown for let in lets})


def _extended(terms: RuleTerms, names: dict[str, Name]) -> RuleTerms:
    types = {name: shown.type for name, shown in names.items()}
    return replace(terms, names={**terms.names, **names}, types={**terms.types, **types})


def compiled(
    compile_: Callable[[], Compiled], origin: Origin, path: str, faults: list[Fault], *, marked: bool = True
) -> Compiled | None:
    """What a line compiles to; None with a fault for each mistake, which shows the line where `marked`."""
    try:
        return compile_()
    except LanguageFault as fault:
        for mistake in fault.mistakes:
            shown = f"\n{fault.marked(mistake)}" if marked else ""
            advice = f"{mistake.advice}{shown}"
            faults.append(Fault(origin, path, mistake.found, mistake.expected, advice))
        return None
