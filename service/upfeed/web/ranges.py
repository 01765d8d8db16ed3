"""Ranges of sizes that a list of parts is narrowed by: `lifter.feed_hole=0.04 in..0.06 in`."""

from collections.abc import Iterable, Iterator

from msgspec import Struct

from upfeed.knowledge.records import Part
from upfeed.knowledge.vocabulary import Attribute, Vocabulary
from upfeed.reading import units
from upfeed.reading.faults import quoted
from upfeed.reading.nearest import did_you_mean, either
from upfeed.web.finding import find
from upfeed.web.operation import Open
from upfeed.web.problem import Flaw, Refusal, flaw
from upfeed.web.valueschema import whole

_NAME = r"[a-z][a-z0-9_]*\.[a-z][a-z0-9_]*"
_SAME = 1e-9
"""Share by which two sizes may differ and count as one: the same size in two units does so in floating point."""

SIZES = Open(
    name="sizes",
    description=(
        "Only parts of a kind with a size in a range, or one of some choices, as kind.attribute:"
        " `lifter.feed_hole=0.04 in..0.06 in`, both ends included; `..0.06 in` and `0.04 in..` are open at one end, one"
        " size alone is that size; `lifter.metering=disc,plate` is either. Parts of which it is not known are left out."
        " An attribute that there is none of is a 404, a size that can't be read a 400."
    ),
    expected="kind.attribute, as lifter.feed_hole",
    pattern=_NAME,
    schema={
        "type": "object",
        "propertyNames": {"pattern": whole(_NAME)},
        "additionalProperties": {"type": "string", "maxLength": 200},
        "examples": [{"lifter.feed_hole": "0.04 in..0.06 in"}],
    },
)


class Range(Struct, frozen=True):
    """An attribute of a kind, and between which sizes SI it is to lie, or which words it may be."""

    kind: str
    attribute: str
    low: float
    high: float
    words: frozenset[str]

    def holds(self, part: Part) -> bool:
        """Whether a part is of the kind and known to lie within."""
        value = part.has.get(self.attribute) if part.kind == self.kind else None
        if value is None or isinstance(value.magnitude, tuple):
            return False
        if isinstance(value.magnitude, str):
            return value.magnitude in self.words
        slack = _SAME * abs(value.magnitude)
        return self.low - slack <= value.magnitude <= self.high + slack


def read_ranges(pairs: Iterable[tuple[str, str]], vocabulary: Vocabulary) -> list[Range]:
    """The ranges asked for. Raises Refusal: 404 for an attribute that there is none of, 400 for what is no range."""
    found, wrong = list[Range](), list[Flaw]()
    for name, text in pairs:
        kind, attribute = _attribute(name, vocabulary)
        try:
            found.append(_range(kind, attribute, text))
        except units.UnitFault as fault:
            wrong.append(flaw("query", f"/{name}", fault.found, fault.expected, fault.advice))
    if wrong:
        raise Refusal("unreadable-query", "The query can't be used.", wrong)
    return found


def _attribute(name: str, vocabulary: Vocabulary) -> tuple[str, Attribute]:
    known = {
        f"{kind.name}.{attribute.name}": (kind.name, attribute)
        for kind in vocabulary.kinds.values()
        for attribute in kind.attributes.values()
        if attribute.table is None
    }
    return find(known, name, "attribute of a kind of part", name, "query")


def _range(kind: str, attribute: Attribute, text: str) -> Range:
    if attribute.choices is not None:
        return Range(kind, attribute.name, 0.0, 0.0, frozenset(_words(attribute.choices, text)))
    low, dots, high = text.partition("..")
    assert attribute.quantity is not None
    first = units.parse(low, attribute.quantity) if low.strip() or not dots else float("-inf")
    if not dots:
        return Range(kind, attribute.name, first, first, frozenset())
    last = units.parse(high, attribute.quantity) if high.strip() else float("inf")
    if first > last:
        raise units.UnitFault(quoted(text), "the lower end first")
    return Range(kind, attribute.name, first, last, frozenset())


def _words(choices: dict[str, str], text: str) -> Iterator[str]:
    for word in text.split(","):
        if word not in choices:
            raise units.UnitFault(quoted(word), either(choices), did_you_mean(word, choices))
        yield word
