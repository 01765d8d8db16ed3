"""The vocabulary as the catalogue shows it: kinds of parts, what can be known of each, operating points, facts."""

from msgspec import Struct

from upfeed.knowledge.vocabulary import Attribute, Column, Fact, Kind, Vocabulary
from upfeed.reading.units import QUANTITIES, units_of
from upfeed.text.measuring import needed


class Meaning(Struct, frozen=True, forbid_unknown_fields=True):
    """A word and what it means."""

    word: str
    means: str


class TableColumn(Struct, frozen=True, forbid_unknown_fields=True):
    """One of the two columns of a table, SI with UCUM unit; `possible` between."""

    name: str
    quantity: str
    unit: str
    possible: tuple[float, float]


class AttributeWords(Struct, frozen=True, forbid_unknown_fields=True):
    """What can be known of a part: a quantity (SI with UCUM unit), one of some choices, or a table.

    What is `possible` and what is `usual` lie between two sizes. `needed` tells in words whether a check can do
    without.
    """

    name: str
    definition: str
    how: str
    tool: str
    quantity: str | None
    unit: str | None
    shown_in: str
    choices: list[Meaning]
    table: list[TableColumn]
    possible: tuple[float, float] | None
    usual: tuple[float, float] | None
    needed: str


class KindWords(Struct, frozen=True, forbid_unknown_fields=True):
    """A kind of part (or `settings`, or `points`) and what can be known of it."""

    kind: str
    definition: str
    ports: list[Meaning]
    attributes: list[AttributeWords]


class FactWords(Struct, frozen=True, forbid_unknown_fields=True):
    """A computed fact: SI with UCUM unit, or a word; once or `at` each point, beside the reference's if `compared`."""

    name: str
    definition: str
    unit: str | None
    choices: list[Meaning]
    scope: str
    at: str
    compared: bool


class QuantityWords(Struct, frozen=True, forbid_unknown_fields=True):
    """A quantity: the UCUM unit in which it is told, and the units in which it may be written."""

    quantity: str
    unit: str
    written_in: list[str]


class Words(Struct, frozen=True, forbid_unknown_fields=True):
    """The vocabulary that knowledge, builds and answers are written in."""

    kinds: list[KindWords]
    points: list[Meaning]
    facts: list[FactWords]
    quantities: list[QuantityWords]


def words(vocabulary: Vocabulary) -> Words:
    """All of the vocabulary."""
    return Words(
        kinds=[_kind(kind) for kind in vocabulary.kinds.values()],
        points=_meanings(vocabulary.points),
        facts=[_fact(fact) for fact in vocabulary.facts.values()],
        quantities=[
            QuantityWords(name, quantity.ucum, [unit for unit in units_of(name) if unit])
            for name, quantity in QUANTITIES.items()
        ],
    )


def _meanings(of: dict[str, str] | None) -> list[Meaning]:
    return [Meaning(word, means) for word, means in (of or {}).items()]


def _kind(kind: Kind) -> KindWords:
    attributes = [_attribute(attribute) for attribute in kind.attributes.values()]
    return KindWords(kind.name, kind.definition, _meanings(kind.ports), attributes)


def _attribute(attribute: Attribute) -> AttributeWords:
    return AttributeWords(
        name=attribute.name,
        definition=attribute.definition,
        how=attribute.how,
        tool=attribute.tool,
        quantity=attribute.quantity,
        unit=QUANTITIES[attribute.quantity].ucum if attribute.quantity else None,
        shown_in=attribute.shown_in,
        choices=_meanings(attribute.choices),
        table=[_column(column) for column in attribute.table or ()],
        possible=attribute.possible,
        usual=attribute.usual,
        needed=needed(attribute),
    )


def _column(column: Column) -> TableColumn:
    return TableColumn(column.name, column.quantity, QUANTITIES[column.quantity].ucum, column.possible)


def _fact(fact: Fact) -> FactWords:
    return FactWords(
        name=fact.name,
        definition=fact.definition,
        unit=QUANTITIES[fact.quantity].ucum if fact.quantity else None,
        choices=_meanings(fact.choices),
        scope=fact.scope,
        at=fact.at,
        compared=fact.compared,
    )
