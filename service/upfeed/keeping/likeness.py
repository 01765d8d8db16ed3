"""Parts that may be one and the same, written down twice."""

from collections.abc import Hashable, Iterable, Iterator, Sequence

from upfeed.answering.library import Library
from upfeed.knowledge.placing import is_one_part
from upfeed.knowledge.records import Part
from upfeed.knowledge.spreads import Spreads, half_width
from upfeed.reading.faults import Fault, quoted

_FEW = 3
"""Values below which likeness tells nothing: a gasket is a thickness and two holes."""


def near_duplicates(library: Library) -> Iterator[Fault]:
    """Parts that differ by less than their values are known to, and numbers of two parts that are one but for spelling.

    Parts that a relation sets apart are left alone.
    """
    parts = [part for part in library.knowledge.parts.values() if is_one_part(part)]
    yield from _alike(parts, library.vocabulary.spreads)
    yield from _numbers_alike(parts)


def _alike(parts: Sequence[Part], spreads: Spreads) -> Iterator[Fault]:
    """Every part is filed under its values and under all but each one, so that this stays linear in parts."""
    filed: dict[Hashable, Part] = {}
    for part in parts:
        others = {filed[key].id: filed[key] for key in _keys(part) if key in filed}
        for other in others.values():
            told_apart = [name for name in part.has | other.has if not _same(part, other, name, spreads)]
            if not told_apart and not _related(part, other):
                found, expected = (
                    f"the same values as {other.id}, as far as they are known",
                    _ANOTHER.format(other.id),
                )
                yield Fault(part.origin, f"{part.kind} {part.id}", found, expected)
        for key in _keys(part):
            filed.setdefault(key, part)


_ANOTHER = "another part, or a relation that says how it stands to {}"


def _keys(part: Part) -> Iterator[Hashable]:
    """All values, and all but each one."""
    values = {name: value.magnitude for name, value in part.has.items()}
    if len(values) > _FEW:
        yield part.kind, frozenset(values.items())
        for left_out in values:
            yield part.kind, left_out, frozenset((n, v) for n, v in values.items() if n != left_out)


def _same(part: Part, other: Part, name: str, spreads: Spreads) -> bool:
    """Whether a value may be one and the same in both; one that is not given may be anything."""
    one, two = part.has.get(name), other.has.get(name)
    if one is None or two is None or one.magnitude == two.magnitude:
        return True
    if not isinstance(one.magnitude, float) or not isinstance(two.magnitude, float):
        return False
    spread = spreads.get(f"{part.kind}.{name}")
    return abs(one.magnitude - two.magnitude) <= half_width(one, spread) + half_width(two, spread)


def _related(part: Part, other: Part) -> bool:
    """Whether one names the other, both name a third, or they are of different families."""
    named = (*_targets(part), *_targets(other))
    if _families(part) and _families(other) and not set(_families(part)) & set(_families(other)):
        return True
    shared = set(_targets(part)) & set(_targets(other)) - set(_families(part))
    return part.id in named or other.id in named or bool(shared)


def _targets(part: Part) -> Iterable[str]:
    return (target for targets in part.relations.values() for target in targets)


def _families(part: Part) -> tuple[str, ...]:
    return part.relations.get("designed_for", ())


def _numbers_alike(parts: Sequence[Part]) -> Iterator[Fault]:
    """Numbers of different parts that are one when spaces, hyphens and capitals are left away."""
    seen: dict[str, tuple[str, Part]] = {}
    for part in parts:
        for number in dict.fromkeys((part.id, *part.numbers)):
            plain = "".join(c for c in number.casefold() if c.isalnum())
            earlier, owner = seen.setdefault(plain, (number, part))
            if owner is not part and owner.kind == part.kind:
                found = f"number {quoted(number)}, which is {quoted(earlier)} of {owner.id}"
                yield Fault(part.origin, f"{part.kind} {part.id}", found, "a number of its own")
