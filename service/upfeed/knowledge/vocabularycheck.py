"""Checks that whatever the vocabulary names is there, and that every passage feeds its law what the law takes."""

import itertools
from collections.abc import Iterator, Mapping

from msgspec import Struct

from upfeed.knowledge.vocabulary import (
    AMBIENTS,
    TURN_VALUES,
    Attribute,
    Fact,
    Kind,
    Passage,
    Stack,
    goes_for,
)
from upfeed.physics.laws import LAWS
from upfeed.physics.stack import EXPANSION
from upfeed.reading.faults import Fault, Origin, quoted
from upfeed.reading.nearest import did_you_mean, either

Kinds = Mapping[str, Kind]
Takes = Mapping[str, str | float] | Mapping[str, str]

DRAWS = {
    "journal": "length",
    "clearance": "length",
    "land": "length",
    "eccentricity": "ratio",
    "turns": "ratio",
}
"""What a turning journal draws by: as `drawn_flow`, `turns` being its turns for one of the crank."""

BYPASS = {"opens": "pressure", "slope": "relief_slope"}
"""Where a way beside a passage begins to open, and how much it lets by for each further pressure."""


_IN_A_ROW = 2
"""Passages that meet at a port where one follows the other."""


class _Place(Struct, frozen=True):
    """Where a name stands."""

    origin: Origin
    path: str

    def fault(self, found: str, expected: str, advice: str = "") -> Fault:
        return Fault(self.origin, self.path, found, expected, advice)


def naming_faults(kinds: Kinds, folder: str) -> Iterator[Fault]:
    """Every name that leads nowhere or to something of another quantity, in the files of a folder."""
    for kind in kinds.values():
        origin = Origin("vocabulary", f"{folder}/{kind.name}.yaml")
        for passage in kind.passages.values():
            place = _Place(origin, f"{kind.name}, passages, {passage.name}")
            yield from _end_faults(kind, passage, place)
            yield from _choice_faults(kinds, kind, passage, place)
            yield from _clear_faults(kind, passage, place)
            yield from _quantity_faults(kind, passage.fills, "volume", place)
            yield from _quantity_faults(kind, passage.opens_at, "angle", place)
            for what, takes, arguments in _fed(passage):
                yield from _argument_faults(kinds, kind, place, what, takes, arguments)
        for attribute in kind.attributes.values():
            yield from _need_faults(
                kinds, kind, attribute, _Place(origin, f"{kind.name}, {attribute.name}, needed")
            )
        yield from _trait_faults(kinds, kind, _Place(origin, kind.name))


def _trait_faults(kinds: Kinds, kind: Kind, place: _Place) -> Iterator[Fault]:
    """Traits that name no attribute, one of another quantity, or no port."""
    for name in _trait_names(kind):
        if _attribute(kinds, kind, name) is None:
            yield place.fault(quoted(name), "an attribute")
    for port in (*(kind.read_at or {}).values(), *kind.kept_full):
        if port not in kind.ports:
            yield place.fault(quoted(port), "a port of this kind", did_you_mean(port, kind.ports))
    if kind.source:
        yield from _quantity_faults(kind, kind.source.fills, "volume", place)
    for centre in (kind.centres or {}).values():
        yield from _quantity_faults(kind, centre.angle, "angle", place)


def taking_faults(facts: Mapping[str, Fact], kinds: Kinds, file: str) -> Iterator[Fault]:
    """Every fact that takes what no kind has, or what a check needs under all choices."""
    for fact in facts.values():
        place = _Place(Origin("vocabulary", file), f"facts, {fact.name}, takes")
        for name in fact.takes:
            kind, _, attribute = name.partition(".")
            known = kinds[kind].attributes if kind in kinds else {}
            if attribute not in known or known[attribute].needed is True:
                yield place.fault(
                    quoted(name),
                    "an earlier fact, or an attribute that a check can do without, as kind.attribute",
                )


def _end_faults(kind: Kind, passage: Passage, place: _Place) -> Iterator[Fault]:
    known = [*kind.ports, *AMBIENTS]
    for end in passage.between:
        if end not in known:
            yield place.fault(quoted(end), "a port of this kind or an open space", did_you_mean(end, known))


def _choice_faults(kinds: Kinds, kind: Kind, passage: Passage, place: _Place) -> Iterator[Fault]:
    """A law for every choice, and a count that is one."""
    by = [of.choices or {} if (of := _attribute(kinds, kind, name)) else {} for name in passage.by]
    choices = tuple(map(" ".join, itertools.product(*by)))
    unknown = [name for name, words in zip(passage.by, by, strict=True) if not words]
    if unknown:
        yield place.fault(f"by {quoted(unknown[0])}", "an attribute with choices")
    elif not _one_for_each(passage, choices):
        found = f"laws for {either(passage.laws)}"
        yield place.fault(found, f"one for each of {either(choices)}" if passage.by else "a law")
    counted = kind.attributes.get(passage.count) if passage.count else None
    if passage.count and (counted is None or counted.quantity != "count"):
        yield place.fault(f"count {quoted(passage.count)}", "an attribute that is a count")


def _one_for_each(passage: Passage, choices: tuple[str, ...]) -> bool:
    """Whether exactly one law goes for each choice, and each law for some; without a choice for all."""
    if not passage.by:
        return set(passage.laws) == {""}
    goes = [[goes_for(words, chosen) for words in passage.laws] for chosen in choices]
    return (
        "" not in passage.laws
        and all(sum(row) == 1 for row in goes)
        and all(map(any, zip(*goes, strict=True)))
    )


def _clear_faults(kind: Kind, passage: Passage, place: _Place) -> Iterator[Fault]:
    """A passage that may be clear, with no other of its part in a row with it."""
    if not any(binding.law == "clear" for binding in passage.laws.values()):
        return
    met = [end for other in kind.passages.values() for end in other.between]
    if not any(met.count(end) == _IN_A_ROW for end in passage.between if end in kind.ports):
        yield place.fault("the law clear", "one more passage of this kind in a row with it")


def _quantity_faults(kind: Kind, name: str | None, quantity: str, place: _Place) -> Iterator[Fault]:
    """An own attribute named for a quantity, where one is named."""
    named = kind.attributes.get(name) if name else None
    if name and (named is None or named.quantity != quantity):
        article = "an" if quantity[0] in "aeiou" else "a"
        yield place.fault(quoted(name), f"an attribute that is {article} {quantity}")


def _need_faults(kinds: Kinds, kind: Kind, attribute: Attribute, place: _Place) -> Iterator[Fault]:
    needed = attribute.needed if isinstance(attribute.needed, dict) else {}
    for by, words in (*needed.items(), *attribute.counts_where.items()):
        chosen = _attribute(kinds, kind, by)
        for word in words:
            if chosen is None or word not in (chosen.choices or ()):
                yield place.fault(f"{by}: {word}", "an attribute and one of its choices")


def _trait_names(kind: Kind) -> Iterator[str]:
    yield from kind.source.takes.values() if kind.source else ()
    yield from (kind.fluid or {}).values()
    for lobe in (kind.lobes or {}).values():
        yield from lobe.card.values()
    if kind.base_circle:
        yield kind.base_circle
    if kind.stack:
        yield from _stack_names(kind.stack)


def _stack_names(stack: Stack) -> Iterator[str]:
    yield from (stack.comes_from, stack.cold, stack.wanted, stack.assembled_at)
    yield from (stack.ratio, stack.travel, stack.pushrod)
    for member in stack.members:
        yield member.length
        if member.material is not None:
            yield f"points.{member.warms_to}"
            if member.material not in EXPANSION:
                yield member.material


def _fed(passage: Passage) -> Iterator[tuple[str, Takes, Mapping[str, str]]]:
    """Each law of a passage, what a journal draws through it and its bypass: what they take and have to."""
    for binding in passage.laws.values():
        yield f"the law {binding.law}", binding.takes, LAWS[binding.law].arguments
    if passage.draws is not None:
        yield "draws", passage.draws, DRAWS
    if passage.bypass is not None:
        yield "bypass", passage.bypass, BYPASS


def _argument_faults(
    kinds: Kinds, kind: Kind, place: _Place, what: str, takes: Takes, arguments: Mapping[str, str]
) -> Iterator[Fault]:
    if set(arguments) != set(takes):
        found, wanted = (", ".join(sorted(names)) or "nothing" for names in (takes, arguments))
        yield place.fault(f"takes {found}", f"what {what} takes: {wanted}")
        return
    for argument, term in takes.items():
        quantity = _quantity_of(kinds, kind, term)
        if quantity not in (arguments[argument], "number"):
            at = _Place(place.origin, f"{place.path}, {argument}")
            yield at.fault(f"`{term}` ({quantity or 'unknown'})", f"a {arguments[argument]}")


def _quantity_of(kinds: Kinds, kind: Kind, term: str | float) -> str | None:
    if isinstance(term, float):
        return "number"
    if term in TURN_VALUES:
        return "turn"
    attribute = _attribute(kinds, kind, term)
    return attribute.quantity if attribute else None


def _attribute(kinds: Kinds, kind: Kind, name: str) -> Attribute | None:
    """An own attribute, or another kind's as kind.attribute; of a name that stands for several the first."""
    other, _, attribute = name.rpartition(".")
    of = kinds.get(other) if other else kind
    return of.attributes.get(next(iter(of.stands_for(attribute)), "")) if of else None
