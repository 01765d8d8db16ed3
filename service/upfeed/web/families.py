"""Engine families as the catalogue shows them: plan, reference build, operating points, intents."""

from collections.abc import Iterator
from typing import Literal

from msgspec import Struct

from upfeed.answering.answer import Written
from upfeed.knowledge.records import Family as Record
from upfeed.knowledge.records import Knowledge
from upfeed.knowledge.records import Stations as AlongGallery
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.web.known import Intent, KnownValue, intents, known_values, written


class FamilyBrief(Struct, frozen=True, forbid_unknown_fields=True):
    """A family in a list."""

    id: str
    name: str
    maker: str


class Families(Struct, frozen=True, forbid_unknown_fields=True):
    """Every known family in order of id."""

    families: list[FamilyBrief]


class Valve(Struct, frozen=True, forbid_unknown_fields=True):
    """A valve that each cylinder has, and the camshaft's lobe that moves it."""

    valve: str
    lobe: str


class Slot(Struct, frozen=True, forbid_unknown_fields=True):
    """A place that takes a part of a kind: one an engine, or one a valve."""

    slot: str
    kind: str
    each: Literal["engine", "valve"]


class Join(Struct, frozen=True, forbid_unknown_fields=True):
    """Two ports that meet (slot.port)."""

    port: str
    meets: str


class Stations(Struct, frozen=True, forbid_unknown_fields=True):
    """Valves in rows along a gallery, from the end it is fed at, and the ports that meet along a row.

    `enters` meet at the first valve of a row, `onward` from each to the next, `leaves` at the last (null: it ends).
    """

    rows: list[list[str]]
    enters: Join
    onward: Join
    leaves: Join | None


class ReferencePart(Struct, frozen=True, forbid_unknown_fields=True):
    """What the designer put into a slot at a position: a known part, values given there, or both."""

    slot: str
    at: str
    part: str | None
    has: list[KnownValue]


class Point(Struct, frozen=True, forbid_unknown_fields=True):
    """An operating point and what is held fixed there."""

    point: str
    has: list[KnownValue]


class Family(Struct, frozen=True, forbid_unknown_fields=True, rename={"origin": "from"}):
    """All that is known of an engine family; its reference is what every build is compared with."""

    id: str
    name: str
    maker: str
    cylinders: int
    valves: list[Valve]
    slots: list[Slot]
    joins: list[Join]
    stations: Stations | None
    reference: list[ReferencePart]
    settings: list[KnownValue]
    points: list[Point]
    intents: list[Intent]
    origin: Written


def families(knowledge: Knowledge) -> Families:
    """All families."""
    known = sorted(knowledge.families.values(), key=lambda family: family.id)
    return Families([FamilyBrief(family.id, family.name, family.maker) for family in known])


def family(record: Record, vocabulary: Vocabulary) -> Family:
    """A family with its plan, its reference build and its points."""
    points = vocabulary.kinds["points"].attributes
    return Family(
        id=record.id,
        name=record.name,
        maker=record.maker,
        cylinders=record.plan.cylinders,
        valves=[Valve(role, record.plan.lobe_of(role)) for role in record.plan.roles],
        slots=[Slot(slot.name, slot.kind, slot.each) for slot in record.plan.slots.values()],
        joins=[Join(port, meets) for port, meets in record.plan.joins],
        stations=_stations(record.plan.stations),
        reference=list(_reference(record, vocabulary)),
        settings=known_values(record.reference.settings, vocabulary.kinds["settings"].attributes),
        points=[Point(name, known_values(has, points)) for name, has in record.points.items()],
        intents=intents(record.intents),
        origin=written(record.origin),
    )


def _stations(along: AlongGallery | None) -> Stations | None:
    if along is None:
        return None
    return Stations(
        rows=[[f"{cylinder} {role}" for cylinder, role in row] for row in along.rows],
        enters=Join(*along.enters),
        onward=Join(*along.onward),
        leaves=Join(*along.leaves) if along.leaves else None,
    )


def _reference(record: Record, vocabulary: Vocabulary) -> Iterator[ReferencePart]:
    for slot, fittings in record.reference.slots.items():
        attributes = vocabulary.kinds[record.plan.slots[slot].kind].attributes
        for fitting in fittings:
            yield ReferencePart(slot, fitting.at, fitting.part, known_values(fitting.has, attributes))
