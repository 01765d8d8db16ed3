"""A part as the only change in a family that has a slot for it."""

from collections.abc import Iterable

import msgspec

from upfeed.answering.library import Library
from upfeed.knowledge.records import BuildSheet, Family, Part
from upfeed.knowledge.relations import PartGraph
from upfeed.knowledge.sheet import read_sheet
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted
from upfeed.reading.jsontree import read_json
from upfeed.reading.nearest import did_you_mean


def known_part(library: Library, id_: str) -> Part:
    """The part of an id. Raises DataFaults for one that nobody knows."""
    if id_ not in library.knowledge.parts:
        raise DataFaults([_unknown(id_, library.knowledge.parts, "part")])
    return library.knowledge.parts[id_]


def families_for(library: Library, parts: Iterable[Part], asked: str | None) -> list[Family]:
    """The family asked for, else all that the parts or what takes up their room were designed for.

    Only those that have a slot for the parts. Raises DataFaults for a family that nobody knows.
    """
    known = library.knowledge.families
    if asked is not None and asked not in known:
        raise DataFaults([_unknown(asked, known, "family")])
    graph, several = PartGraph(library.knowledge), tuple(parts)
    near = {id_ for part in several for id_ in (part.id, *graph.same_envelope(part.id))}
    meant = {f for id_ in near for f in library.knowledge.parts[id_].relations.get("designed_for", ())}
    named = [asked] if asked else sorted(meant)
    return [known[id_] for id_ in named if _slot(known[id_], several[0].kind)]


def alone(library: Library, family: Family, part: Part) -> BuildSheet:
    """The build that names this part and nothing else. Raises DataFaults."""
    told = {"format": 1, "family": family.id, "slots": {_slot(family, part.kind): part.id}}
    faults: list[Fault] = []
    node = read_json(msgspec.json.encode(told), faults)
    sheet = read_sheet(node, library.knowledge, library.vocabulary, faults) if node else None
    if sheet is None or faults:
        raise DataFaults(faults)
    return sheet


def _unknown(word: str, known: Iterable[str], what: str) -> Fault:
    return Fault(
        Origin(file="command line"), what, quoted(word), f"a known {what}", did_you_mean(word, known)
    )


def _slot(family: Family, kind: str) -> str | None:
    return next((slot.name for slot in family.plan.slots.values() if slot.kind == kind), None)
