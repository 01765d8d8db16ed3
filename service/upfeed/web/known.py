"""Values as the catalogue shows them: in SI, as written, and where they come from."""

from collections.abc import Mapping
from typing import Literal, get_args

from msgspec import Struct

from upfeed.answering.answer import Written
from upfeed.answering.evidence import plain
from upfeed.knowledge.records import Intent as Meant
from upfeed.knowledge.records import Part, Standing, Value
from upfeed.knowledge.vocabulary import Attribute
from upfeed.reading.faults import Origin
from upfeed.reading.units import QUANTITIES

RelationName = Literal[
    "designed_for", "shares_gallery_height", "same_envelope_as", "supplied_in_place_of", "needs", "excludes"
]


class KnownValue(Struct, frozen=True, forbid_unknown_fields=True, rename={"origin": "from"}):
    """A known value: SI magnitude (or a choice's word) in a UCUM unit, its tolerance, and as it was written.

    The value of a table is null; `shown` tells what it holds.
    """

    name: str
    value: float | str | None
    unit: str | None
    plus_minus: float | None
    shown: str
    standing: Standing
    source: str | None
    note: str | None
    origin: Written


class Intent(Struct, frozen=True, forbid_unknown_fields=True):
    """Why a designer made something so, and about which attributes (kind.attribute)."""

    about: list[str]
    says: str
    by: str


class Relation(Struct, frozen=True, forbid_unknown_fields=True):
    """Parts (or families, where it was designed for them) that a part relates to."""

    relation: RelationName
    to: list[str]


def written(origin: Origin) -> Written:
    """Where something of the knowledge or the rules is written."""
    return Written(origin.layer, origin.file, origin.line)


def known_values(has: Mapping[str, Value], attributes: Mapping[str, Attribute]) -> list[KnownValue]:
    """Values in the order of the vocabulary."""
    return [_known(attributes[name], has[name]) for name in attributes if name in has]


def intents(meant: tuple[Meant, ...]) -> list[Intent]:
    """Intents as they go out."""
    return [Intent(list(intent.about), intent.says, intent.by) for intent in meant]


def relations(part: Part) -> list[Relation]:
    """What a part names, relation by relation."""
    return [
        Relation(name, list(part.relations[name]))
        for name in get_args(RelationName)
        if name in part.relations
    ]


def _known(attribute: Attribute, value: Value) -> KnownValue:
    return KnownValue(
        name=attribute.name,
        value=plain(value.magnitude),
        unit=QUANTITIES[attribute.quantity].ucum if attribute.quantity else None,
        plus_minus=value.plus_minus,
        shown=value.written,
        standing=value.standing,
        source=value.source or None,
        note=value.note or None,
        origin=written(value.origin),
    )
