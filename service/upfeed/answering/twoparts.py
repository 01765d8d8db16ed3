"""Two parts side by side: what differs, what of it the oil feels, how one came for the other, what either does."""

from collections.abc import Iterable, Iterator

import msgspec
from msgspec import Struct

from upfeed.answering.answer import Answer, Computed, SolvedPoint
from upfeed.answering.check import check
from upfeed.answering.library import Library
from upfeed.judging.verdict import Verdict
from upfeed.knowledge.records import BuildSheet, Family, Part, Value
from upfeed.knowledge.relations import PartGraph
from upfeed.knowledge.sheet import read_sheet
from upfeed.knowledge.uses import uses
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted
from upfeed.reading.jsontree import read_json
from upfeed.reading.nearest import did_you_mean

_IDLE = "hot_idle"


class Differing(Struct, frozen=True, forbid_unknown_fields=True):
    """An attribute in which two parts differ, as written (None where it is not given), and what it is used for.

    `used_for` names passages as kind.passage, and other things in words; empty where the oil does not feel it. `rules`
    are those that read it.
    """

    attribute: str
    first: str | None
    second: str | None
    used_for: tuple[str, ...]
    rules: tuple[str, ...]


class Effect(Struct, frozen=True, forbid_unknown_fields=True):
    """What a part does as the only change in a family: verdict, findings, and hot idle beside the reference's.

    `pressure` of the gallery in Pa; the ratios are over the reference's; None where it is not known.
    """

    part: str
    verdict: Verdict
    findings: tuple[str, ...]
    top_end: float | None
    worst_valve: float | None
    pressure: float | None


class InFamily(Struct, frozen=True, forbid_unknown_fields=True):
    """Both parts in one family; `times` is the worst valve's oil with the second over that with the first."""

    family: str
    first: Effect
    second: Effect
    times: float | None


class TwoParts(Struct, frozen=True, forbid_unknown_fields=True):
    """Everything that sets two parts of a kind apart.

    `chain` leads from the first, part by part, to the second, each supplied in place of the one before; or the other
    way round where `backwards`. `one_gallery_height` is None where nobody says what either was laid out for.
    """

    first: str
    second: str
    differences: tuple[Differing, ...]
    chain: tuple[str, ...]
    backwards: bool
    same_envelope: bool
    one_gallery_height: bool | None
    families: tuple[InFamily, ...]


def two_parts(library: Library, first: str, second: str, family: str | None = None) -> TwoParts:
    """Compare two parts of one kind, in one family or in all that either was designed for.

    Raises DataFaults for unknown names and for parts of different kinds.
    """
    one, other = _part(library, first), _part(library, second)
    if one.kind != other.kind:
        found, expected = f"a {other.kind}", f"a {one.kind}, as {first} is"
        raise DataFaults([Fault(Origin(file="command line"), second, found, expected)])
    graph = PartGraph(library.knowledge)
    forth, back = graph.substitution(first, second), graph.substitution(second, first)
    return TwoParts(
        first,
        second,
        tuple(_differences(library, graph, one, other)),
        chain=forth or back,
        backwards=bool(back and not forth),
        same_envelope=second in graph.same_envelope(first),
        one_gallery_height=graph.one_gallery_height(first, second),
        families=tuple(_in_family(library, f, one, other) for f in _families(library, one, other, family)),
    )


class StandIn(Struct, frozen=True, forbid_unknown_fields=True):
    """A part that goes where another goes: handed over in its place (by which chain), or of the same envelope only.

    `one_gallery_height`: laid out for the same height of the gallery; None where nobody says it of both.
    """

    part: str
    name: str
    chain: tuple[str, ...]
    one_gallery_height: bool | None
    effects: tuple[InFamily, ...]


class StandIns(Struct, frozen=True, forbid_unknown_fields=True):
    """What goes in a part's place: what the trade supplies first, then what takes up the same room."""

    part: str
    stand_ins: tuple[StandIn, ...]


def builds_of_two(
    library: Library, first: str, second: str, family: str | None = None
) -> Iterator[BuildSheet]:
    """The builds that are checked for two parts side by side. Raises DataFaults for unknown names."""
    parts = _part(library, first), _part(library, second)
    return (_alone(library, f, part) for f in _families(library, *parts, family) for part in parts)


def builds_of_stand_ins(library: Library, id_: str, family: str | None = None) -> Iterator[BuildSheet]:
    """The builds that are checked for what goes in a part's place. Raises DataFaults for unknown names."""
    part, others = _part(library, id_), _instead(PartGraph(library.knowledge), id_)
    families = _families(library, part, part, family) if others else []
    return (_alone(library, f, _part(library, one)) for f in families for one in (id_, *others))


def stand_ins(library: Library, id_: str, family: str | None = None) -> tuple[StandIn, ...]:
    """What the trade supplies in a part's place, then what else takes up the same room, each with what it does.

    Raises DataFaults for unknown names.
    """
    part, graph = _part(library, id_), PartGraph(library.knowledge)
    chains = {other: graph.substitution(id_, other) for other in graph.supplied_for(id_)}
    others = _instead(graph, id_)
    # What the part itself does is asked once a family, however many go in its place.
    own = [(f, effect(library, f, part)) for f in _families(library, part, part, family)] if others else []
    return tuple(
        StandIn(
            other,
            library.knowledge.parts[other].name,
            chains.get(other, ()),
            graph.one_gallery_height(id_, other),
            tuple(_beside(f, first, effect(library, f, _part(library, other))) for f, first in own),
        )
        for other in others
    )


def _instead(graph: PartGraph, id_: str) -> tuple[str, ...]:
    """What goes in a part's place: what is supplied, then what takes up the same room."""
    supplied = tuple(graph.supplied_for(id_))
    return (*supplied, *(other for other in graph.same_envelope(id_) if other not in supplied))


def _part(library: Library, id_: str) -> Part:
    if id_ not in library.knowledge.parts:
        raise DataFaults([_unknown(id_, library.knowledge.parts, "part")])
    return library.knowledge.parts[id_]


def _unknown(word: str, known: Iterable[str], what: str) -> Fault:
    return Fault(
        Origin(file="command line"), what, quoted(word), f"a known {what}", did_you_mean(word, known)
    )


def _differences(library: Library, graph: PartGraph, one: Part, other: Part) -> Iterator[Differing]:
    used = uses(library.vocabulary)
    for difference in graph.differences(one.id, other.id):
        name = f"{one.kind}.{difference.attribute}"
        rules = tuple(rule.id for rule in library.rulebook.rules.values() if name in rule.reads)
        first, second = _written(difference.first), _written(difference.second)
        yield Differing(difference.attribute, first, second, used.get(name, ()), rules)


def _written(value: Value | None) -> str | None:
    return value.written if value else None


def _families(library: Library, one: Part, other: Part, asked: str | None) -> list[Family]:
    known = library.knowledge.families
    if asked is not None and asked not in known:
        raise DataFaults([_unknown(asked, known, "family")])
    graph = PartGraph(library.knowledge)
    near = {id_ for part in (one, other) for id_ in (part.id, *graph.same_envelope(part.id))}
    meant = {f for id_ in near for f in library.knowledge.parts[id_].relations.get("designed_for", ())}
    named = [asked] if asked else sorted(meant)
    return [known[id_] for id_ in named if _slot(known[id_], one.kind)]


def _slot(family: Family, kind: str) -> str | None:
    return next((slot.name for slot in family.plan.slots.values() if slot.kind == kind), None)


def _in_family(library: Library, family: Family, one: Part, other: Part) -> InFamily:
    return _beside(family, effect(library, family, one), effect(library, family, other))


def _beside(family: Family, first: Effect, second: Effect) -> InFamily:
    was, now = first.worst_valve, second.worst_valve
    return InFamily(family.id, first, second, now / was if was and now is not None else None)


def effect(library: Library, family: Family, part: Part) -> Effect:
    """What the part does as the only change in a family that has a slot for it."""
    answer = check(_alone(library, family, part), library)
    at_idle = {c.name: c for c in _computed(answer)}
    pressure = at_idle.get(f"gallery_pressure.{_IDLE}")
    return Effect(
        part.id,
        answer.verdict,
        tuple(finding.id for finding in answer.findings),
        top_end=_ratio(at_idle.get(f"top_end_flow.{_IDLE}")),
        worst_valve=_ratio(at_idle.get(f"worst_valve_flow.{_IDLE}")),
        pressure=pressure.build if pressure and isinstance(pressure.build, float) else None,
    )


def _alone(library: Library, family: Family, part: Part) -> BuildSheet:
    told = {"format": 1, "family": family.id, "slots": {_slot(family, part.kind): part.id}}
    faults: list[Fault] = []
    node = read_json(msgspec.json.encode(told), faults)
    sheet = read_sheet(node, library.knowledge, library.vocabulary, faults) if node else None
    if sheet is None or faults:
        raise DataFaults(faults)
    return sheet


def _computed(answer: Answer) -> Iterator[Computed]:
    for point in answer.points:
        if isinstance(point, SolvedPoint) and point.point == _IDLE:
            yield from point.computed


def _ratio(computed: Computed | None) -> float | None:
    return computed.ratio if computed else None
