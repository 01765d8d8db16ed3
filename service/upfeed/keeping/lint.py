"""What is worth a second look in a knowledge base that loads: nothing here stops a check."""

from collections.abc import Callable, Collection, Iterator

from upfeed.answering.library import Library
from upfeed.keeping.likeness import near_duplicates
from upfeed.knowledge.partfile import NO_PARTS
from upfeed.knowledge.placing import is_one_part, leading_to
from upfeed.knowledge.records import Part
from upfeed.knowledge.vocabulary import Attribute
from upfeed.reading.faults import Fault, Origin, quoted


def lint(library: Library, layers: Collection[str] = ()) -> tuple[Fault, ...]:
    """Warnings in the order of files and lines, of the layers named or of all."""
    found = (*library.warnings, *(fault for ask in _ASKED for fault in ask(library)))
    kept = (fault for fault in found if not layers or fault.origin.layer in layers)
    return tuple(sorted(kept, key=lambda f: (f.origin.layer, f.origin.file, f.origin.line, f.path, f.found)))


def _without_source(library: Library) -> Iterator[Fault]:
    for part in library.knowledge.parts.values():
        for name, value in part.has.items():
            if not value.source:
                found, expected = f"{quoted(value.written)} from nowhere", "a source"
                yield Fault(value.origin, f"{_named(part)}, {name}", found, expected, _NAME_A_SOURCE)


_NAME_A_SOURCE = "Write `source:` at the value, the part or the head of the file."


def _without_family(library: Library) -> Iterator[Fault]:
    """Parts that no family names and that lead to none, not even by what they stand in for."""
    placed = leading_to(library.knowledge, library.knowledge.families)
    for part in library.knowledge.parts.values():
        poured = library.vocabulary.kinds[part.kind].fluid is not None
        if part.id not in placed and not poured and is_one_part(part):
            yield Fault(part.origin, _named(part), "no family it goes into", _LED_TO_A_FAMILY)


_LED_TO_A_FAMILY = "`designed_for`, or a relation to a part that is designed for one"


def _beside_its_choices(library: Library) -> Iterator[Fault]:
    """Values that the part's own choices leave without a use, as the notch of a drilled orifice."""
    for part in library.knowledge.parts.values():
        kind = library.vocabulary.kinds[part.kind]
        chosen = {name: value.magnitude for name, value in part.has.items()}
        for name, value in part.has.items():
            by = _choices(kind.attributes[name])
            if not value.follows_from and any(
                chosen.get(other, words[0]) not in words for other, words in by.items()
            ):
                given = ", ".join(f"{other}: {chosen[other]}" for other in by if other in chosen)
                found = f"{quoted(value.written)} beside {given}"
                yield Fault(value.origin, f"{_named(part)}, {name}", found, _CHOICES_THAT_USE_IT)


def _choices(attribute: Attribute) -> dict[str, tuple[str, ...]]:
    """The choices with which alone an attribute counts."""
    return attribute.needed if isinstance(attribute.needed, dict) else attribute.counts_where


_CHOICES_THAT_USE_IT = "no value that the choices leave without a use"


def _on_no_part(library: Library) -> Iterator[Fault]:
    """Attributes that a check may need and no part has."""
    given: dict[str, set[str]] = {}
    for part in library.knowledge.parts.values():
        given.setdefault(part.kind, set()).update(part.has)
    for name, kind in library.vocabulary.kinds.items():
        for attribute in kind.attributes.values() if name not in NO_PARTS else ():
            if attribute.name not in given.get(name, ()):
                file = Origin(layer="base", file=f"shared/vocabulary/{name}.yaml")
                yield Fault(
                    file, f"attributes, {attribute.name}", "no part that has it", "an attribute in use"
                )


def _named(part: Part) -> str:
    return f"{part.kind} {part.id}"


_ASKED: tuple[Callable[[Library], Iterator[Fault]], ...] = (
    _without_source,
    _without_family,
    _beside_its_choices,
    _on_no_part,
    near_duplicates,
)
