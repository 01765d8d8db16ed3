"""Reads the lines of a rule: its calculations under `let` and its comparisons under `when`."""

from upfeed.judging import dimension
from upfeed.judging.condition import COMBINERS, Condition, Group
from upfeed.judging.dimension import BARE, Unchecked
from upfeed.judging.language import Calculation, compile_calculation, compile_comparison
from upfeed.judging.lexicon import Name
from upfeed.judging.rules import Let
from upfeed.judging.ruleterms import SNAKE, RuleTerms, compiled, with_lets
from upfeed.reading import units
from upfeed.reading.faults import Fault, quoted
from upfeed.reading.nearest import did_you_mean, either
from upfeed.reading.nodes import Mapping, Node, Scalar, Sequence, described
from upfeed.reading.reader import Reader


def read_lets(file: Reader, terms: RuleTerms) -> tuple[Let, ...]:
    """A rule's calculations in the order written; each may use those above it."""
    lets: tuple[Let, ...] = ()
    section = file.mapping("let")
    for name, reader in section.each() if section else ():
        lets = (*lets, _let(name, reader, with_lets(terms, lets)))
    return lets


def read_condition(file: Reader, terms: RuleTerms) -> Condition | None:
    """What a rule fires on: one comparison, or comparisons under all, any or none."""
    node = file.node("when")
    if node is None:
        file.fault("when", "nothing", "one comparison, or comparisons under all, any or none")
        return None
    return _condition(node, file.path_of("when"), terms, file.faults)


def _let(name: str, let: Reader, terms: RuleTerms) -> Let:
    let.only("is", "show")
    digits = let.whole("show", 1) or 3
    if not SNAKE.fullmatch(name) or name in terms.names:
        expected = "a new name of small letters, digits and single underscores"
        let.fault(None, f"the name {quoted(name)}", expected)
    text, origin, path = let.text("is"), let.origin("is"), let.path_of("is")
    if text:
        found = compiled(lambda: compile_calculation(text, terms.types), origin, path, let.faults)
    if not text or found is None:  # its faults are told, and keep the rule from loading
        return Let(name, Calculation(text, frozenset(), BARE, lambda _: None), Name(Unchecked(), None, ""))
    return Let(name, found, _shown(found, digits, terms))


def _shown(calculation: Calculation, digits: int, terms: RuleTerms) -> Name:
    """In the unit of the first name it reads of the same quantity, else in the quantity's shop unit."""
    quantity = dimension.quantity_of(calculation.type)
    if quantity is None:
        return Name(calculation.type, None, "", digits)
    read = (terms.names[name] for name in sorted(calculation.names))
    alike = (name.shown_in for name in read if name.quantity == quantity and quantity != "ratio")
    return Name(calculation.type, quantity, next(alike, units.QUANTITIES[quantity].shop), digits)


def _condition(node: Node, path: str, terms: RuleTerms, faults: list[Fault]) -> Condition | None:
    if isinstance(node, Scalar) and node.form == "text":
        return compiled(lambda: compile_comparison(node.text, terms.types), node.origin, path, faults)
    if isinstance(node, Mapping):
        return _group(node, path, terms, faults)
    if not isinstance(node, Scalar) or node.form != "refused":
        expected = "one comparison, or comparisons under all, any or none"
        faults.append(Fault(node.origin, path, described(node), expected))
    return None


def _group(node: Mapping, path: str, terms: RuleTerms, faults: list[Fault]) -> Group | None:
    if len(node.entries) != 1:
        expected = "one of all, any and none in each mapping"
        faults.append(Fault(node.origin, path, f"{len(node.entries)} keys", expected))
        return None
    ((key, parts),) = node.entries.items()
    by = next((word for word in COMBINERS if word == key), None)
    if by is None:
        found, advice = f"the unknown key {quoted(key)}", did_you_mean(key, COMBINERS)
        faults.append(Fault(node.keys[key], path, found, either(COMBINERS), advice))
        return None
    inner = f"{path}, {key}"
    if not isinstance(parts, Sequence) or not parts.items:
        found = described(parts) if not isinstance(parts, Sequence) else "an empty list"
        faults.append(Fault(parts.origin, inner, found, "a list of comparisons"))
        return None
    read = [_condition(part, inner, terms, faults) for part in parts.items]
    known = tuple(part for part in read if part is not None)
    return Group(by, known) if len(known) == len(read) else None
