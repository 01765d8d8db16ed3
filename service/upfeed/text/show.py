"""Parts, families and rules of the library as text."""

from collections.abc import Iterable, Iterator

from upfeed.answering.library import Library
from upfeed.judging.rules import Rule
from upfeed.knowledge.records import Family, Part, Value
from upfeed.knowledge.relations import PartGraph
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted
from upfeed.reading.nearest import did_you_mean
from upfeed.text.prose import words, wrapped

_WIDTH = 120
"""Wide enough for a value with its source and place."""


def list_parts(library: Library, kind: str | None, family: str | None) -> str:
    """A line a part. Raises DataFaults for an unknown kind or family."""
    kinds = {part.kind for part in library.knowledge.parts.values()}
    _known(kind, kinds, "kind of part")
    _known(family, library.knowledge.families, "family")
    rows = [
        (part.id, part.kind, part.name)
        for part in library.knowledge.parts.values()
        if kind in (None, part.kind) and (family is None or family in part.relations.get("designed_for", ()))
    ]
    widths = [max((len(row[i]) for row in rows), default=0) for i in (0, 1)]
    lines = (f"{id_:<{widths[0]}}  {of:<{widths[1]}}  {name}" for id_, of, name in sorted(rows))
    return "".join(f"{line}\n" for line in lines)


def show_id(library: Library, id_: str) -> str:
    """Everything known under an id or a part's number. Raises DataFaults, naming the nearest, for an unknown one."""
    graph = PartGraph(library.knowledge)
    found = [line for part in graph.sold_under(id_) for line in _part(part, graph)]
    if id_ in library.knowledge.families:
        found += _family(library.knowledge.families[id_], graph)
    if id_ in library.rulebook.rules:
        found += _rule(library.rulebook.rules[id_])
    if not found:
        _known(id_, _everything(library), "part, number, family or rule")
    return "".join(f"{line}\n" for long in found for line in wrapped(long, hanging="    ", width=_WIDTH))


def _everything(library: Library) -> set[str]:
    numbers = (number for part in library.knowledge.parts.values() for number in part.numbers)
    return {*library.knowledge.parts, *numbers, *library.knowledge.families, *library.rulebook.rules}


def _known(word: str | None, known: Iterable[str], what: str) -> None:
    if word is not None and word not in known:
        advice = did_you_mean(word, known)
        raise DataFaults([Fault(Origin(file="command line"), what, quoted(word), f"a known {what}", advice)])


def _part(part: Part, graph: PartGraph) -> Iterator[str]:
    yield f"{part.id}: {part.name} ({words(part.kind)}, {part.maker})"
    if part.numbers:
        yield f"  sold as {', '.join(part.numbers)}"
    for name, value in part.has.items():
        yield f"  {words(name):<22} {_value(value)}"
    yield from _relations(part, graph)
    for intent in part.intents:
        yield f"  made so ({', '.join(intent.about)}): {intent.says}"


def _relations(part: Part, graph: PartGraph) -> Iterator[str]:
    for relation, targets in part.relations.items():
        yield f"  {words(relation)}: {', '.join(targets)}"
    if envelope := graph.same_envelope(part.id):
        yield f"  takes up the same room as: {', '.join(envelope)}"
    if gallery := graph.gallery_height(part.id):
        yield f"  laid out for the same gallery height: {', '.join(gallery)}"
    if replaced := graph.naming(part.id, "supplied_in_place_of"):
        yield f"  now also supplied as: {', '.join(replaced)}"
    for old in graph.related(part.id, "supplied_in_place_of"):
        yield f"  unlike {old} in: {'; '.join(_unlike(part.id, old, graph)) or 'nothing that is known'}"


def _unlike(new: str, old: str, graph: PartGraph) -> Iterator[str]:
    """What differs from a part it is supplied in place of."""
    for difference in graph.differences(new, old):
        now, was = (_short(value) for value in (difference.first, difference.second))
        yield f"{words(difference.attribute)} {now}, was {was}"


def _short(value: Value | None) -> str:
    if value is None:
        return "not given"
    return words(value.magnitude) if isinstance(value.magnitude, str) else value.written


def _value(value: Value) -> str:
    shown = _short(value)
    notes = (value.standing, value.source, value.note)
    return f"{shown:<12} {', '.join(note for note in notes if note)}  [{value.origin}]"


def _family(family: Family, graph: PartGraph) -> Iterator[str]:
    plan = family.plan
    yield f"{family.id}: {family.name} ({family.maker})"
    valves = (
        role if plan.lobe_of(role) == role else f"{role} ({plan.lobe_of(role)} lobe)" for role in plan.roles
    )
    yield f"  {plan.cylinders} cylinders, valves each: {', '.join(valves)}"
    for row in plan.stations.rows if plan.stations else ():
        yield f"  along the gallery: {', '.join(f'{cylinder} {role}' for cylinder, role in row)}"
    for slot, fittings in family.reference.slots.items():
        yield f"  {words(slot):<22} {', '.join(f.part or 'as given' for f in fittings)}"
    for name, value in family.reference.settings.items():
        yield f"  {words(name):<22} {_value(value)}"
    for point, values in family.points.items():
        given = ", ".join(f"{words(name)} {value.written}" for name, value in values.items())
        yield f"  at {words(point)}: {given}"
    if alike := graph.families_of_one_gallery_height(family.id):
        yield f"  of one gallery height with: {', '.join(alike)}"
    yield f"  parts designed for it: {', '.join(graph.naming(family.id, 'designed_for'))}"
    for intent in family.intents:
        yield f"  laid out so ({', '.join(intent.about)}): {intent.says}"


def _rule(rule: Rule) -> Iterator[str]:
    yield f"{rule.id}: {rule.weighs}, asked along {' or '.join(map(' > '.join, rule.walks))}"
    yield f"  why: {rule.why}"
    for limit in rule.limits.values():
        yield f"  {limit.name}: {limit.means} ({limit.source})  [{limit.origin}]"
    yield f"  does not see: {rule.known_limits}"
    if rule.explains:
        yield f"  explains: {', '.join(rule.explains)}"
