"""Reads the vocabulary's spreads: how far values may be off, by quantity or by class of attribute."""

from collections.abc import Iterator, Mapping

from upfeed.knowledge.records import STANDINGS, Standing
from upfeed.knowledge.spreads import Size, Spread
from upfeed.knowledge.vocabulary import Kind
from upfeed.reading.faults import quoted
from upfeed.reading.nearest import did_you_mean
from upfeed.reading.nodes import Scalar
from upfeed.reading.reader import Reader
from upfeed.reading.units import QUANTITIES, UnitFault, parse, parse_difference

SPREADS_FILE = "spreads"

_COUNTED = "count"


def read_spreads(file: Reader, kinds: Mapping[str, Kind]) -> dict[str, Spread]:
    """The spread of every attribute that has one, by `kind.attribute`; what can't be read is noted as a fault."""
    file.format()
    file.only("format", "quantities", "classes", "exact")
    quantities = {
        f"{kind.name}.{a.name}": a.quantity
        for kind in kinds.values()
        for a in kind.attributes.values()
        if a.quantity and a.quantity != _COUNTED
    }
    exact = _known(file, "exact", quantities)
    classed = _classes(file.mapping("classes"), quantities, exact)
    common = _quantities(file.mapping("quantities"))
    for name, quantity in quantities.items():
        if name not in classed and name not in exact and quantity not in common:
            file.fault("quantities", f"none for {name}", f"a spread of every {quantity.replace('_', ' ')}")
    rest = {n: common[q] for n, q in quantities.items() if n not in exact and q in common}
    return rest | classed


def _quantities(given: Reader | None) -> dict[str, Spread]:
    if given is None:
        return {}
    given.only(*QUANTITIES)
    return {name: Spread(name, _sizes(r, name)) for name, r in given.each() if name in QUANTITIES}


def _classes(
    given: Reader | None, quantities: Mapping[str, str], exact: tuple[str, ...]
) -> dict[str, Spread]:
    found: dict[str, Spread] = {}
    for name, of in given.each() if given else ():
        of.only("means", "spreads", "of")
        of.text("means")
        sizes = of.mapping("spreads")
        for member in _known(of, "of", quantities):
            if member in found or member in exact:
                of.fault("of", f"{member} a second time", "every attribute in one place")
            elif sizes:
                found[member] = Spread(name, _sizes(sizes, quantities[member]))
    return found


def _known(given: Reader, key: str, quantities: Mapping[str, str]) -> tuple[str, ...]:
    for name in given.words(key):
        if name not in quantities:
            given.fault(key, quoted(name), "a size of a kind of part", did_you_mean(name, quantities))
    return tuple(name for name in given.words(key) if name in quantities)


def _sizes(given: Reader, quantity: str) -> dict[Standing, Size]:
    given.only(*STANDINGS)
    return dict(_each_size(given, quantity))


def _each_size(given: Reader, quantity: str) -> Iterator[tuple[Standing, Size]]:
    for standing in STANDINGS:
        node = given.node(standing)
        if node is None:
            given.fault(standing, "nothing", "how far a value of this standing may be off")
            continue
        text = node.text if isinstance(node, Scalar) else ""
        try:
            size = _size(text, quantity)
        except UnitFault as fault:
            given.fault(standing, fault.found, fault.expected, fault.advice)
            continue
        if size.amount < 0:
            given.fault(standing, quoted(text), "how far it may be off, without a sign")
        yield standing, size


def _size(text: str, quantity: str) -> Size:
    """A percentage is of the value, even of a ratio."""
    if text.rstrip().endswith("%"):
        return Size(parse(text, "ratio"), is_share=True)
    return Size(parse_difference(text, quantity), is_share=False)
