"""Reads limits.yaml: the thresholds of one area of rules."""

from upfeed.judging.dimension import number
from upfeed.judging.lexicon import Name
from upfeed.judging.rules import Limit
from upfeed.judging.ruleterms import SNAKE, RuleTerms
from upfeed.knowledge.records import Change, Override
from upfeed.reading import units
from upfeed.reading.faults import Fault, quoted
from upfeed.reading.nearest import did_you_mean
from upfeed.reading.nodes import Node, Scalar, described
from upfeed.reading.reader import Reader


def read_limits(node: Node, area: str, terms: RuleTerms, faults: list[Fault]) -> dict[str, Limit]:
    """The limits of a file by full name (`limits.flow_ratio`); what is wrong with it is added to `faults`."""
    file = Reader(node, f"limits of {area}", faults)
    file.only("format", "limits")
    file.format()
    limits = file.mapping("limits")
    if limits is None:
        return {}
    found = [_limit(f"limits.{key}", reader, terms) for key, reader in limits.each()]
    return {limit.name: limit for limit in found if limit}


def _limit(name: str, limit: Reader, terms: RuleTerms) -> Limit | None:
    limit.only("is", "quantity", "means", "source")
    if not SNAKE.fullmatch(name.removeprefix("limits.")):
        expected = "a name of small letters, digits and single underscores"
        limit.fault(None, f"the name {quoted(name.removeprefix('limits.'))}", expected)
    quantity = limit.one_of("quantity", units.QUANTITIES) or "ratio"
    means, source = limit.text("means"), limit.text("source")
    if source and source not in terms.sources:
        limit.fault(
            "source", f'the unknown source "{source}"', "a known source", did_you_mean(source, terms.sources)
        )
    value = limit.node("is")
    if not isinstance(value, Scalar):
        found = described(value) if value else "nothing"
        limit.fault("is", found, f"a {quantity.replace('_', ' ')}")
        return None
    try:
        magnitude = units.parse(value.text, quantity)
    except units.UnitFault as fault:
        limit.fault("is", fault.found, fault.expected, fault.advice)
        return None
    shown = Name(number(quantity), quantity, _unit(value.text, quantity))
    return Limit(name, magnitude, shown, means, source, limit.origin())


def _unit(text: str, quantity: str) -> str:
    """The unit a value is written in: limits are shown as they were set."""
    return max((unit for unit in units.units_of(quantity) if text.endswith(unit)), key=len)


def of_limit(was: Limit, now: Limit, area: str) -> Override:
    """A limit in place of another of the same area and name."""
    change = Change("is", _shown(was), _shown(now))
    return Override("limit", f"{area}, {now.name}", was.origin, now.origin, (change,))


def _shown(limit: Limit) -> str:
    return units.show(limit.value, limit.shown.quantity or "ratio", limit.shown.shown_in)
