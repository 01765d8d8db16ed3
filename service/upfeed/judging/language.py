"""One line of a rule: a comparison or a calculation in a checked subset of Python expressions.

A line is parsed by `ast`, checked against the types of the names it may use and turned into closures; Python
itself never runs any of it. An unknown operand makes the whole line unknown.
"""

import ast
import operator
from collections.abc import Callable, Mapping

from msgspec import Struct

from upfeed.judging import truth
from upfeed.judging.calculation import UNBOUND, Line
from upfeed.judging.dimension import BARE, Number, Type
from upfeed.judging.syntax import gathered, parse
from upfeed.judging.terms import Numeric, Readings, Run, Verbal, compared, of_two
from upfeed.judging.truth import Truth
from upfeed.reading.nearest import did_you_mean

_ORDERS: Mapping[type[ast.cmpop], Callable[[float, float], bool]] = {
    ast.Lt: truth.below,
    ast.LtE: truth.at_most,
    ast.Gt: truth.above,
    ast.GtE: truth.at_least,
}
_SAMENESS: Mapping[type[ast.cmpop], bool] = {ast.Eq: True, ast.NotEq: False}
_MEMBERSHIP: Mapping[type[ast.cmpop], bool] = {ast.In: True, ast.NotIn: False}


class Comparison(Struct, frozen=True):
    """A line that is true, false or unknown (None), and the names it reads.

    `margin` is how far its left side lies over its right, None for words.
    """

    text: str
    names: frozenset[str]
    run: Callable[[Readings], Truth]
    margin: Callable[[Readings], float | None] | None = None


class Calculation(Struct, frozen=True):
    """A line that gives a number in SI; None when it is unknown, undefined (x / 0) or beyond all bounds."""

    text: str
    names: frozenset[str]
    type: Number
    run: Callable[[Readings], float | None]


def compile_comparison(
    text: str, types: Mapping[str, Type], bound: Mapping[str, Run] = UNBOUND
) -> Comparison:
    """One comparison (< <= == != >= > in, not in) between terms of a kind.

    Raises LanguageFault with every mistake found in the line.
    """
    node, line = parse(text), Line(text, types, bound)
    if not isinstance(node, ast.Compare):
        advice = "Put comparisons each on a line of its own, under all, any or none."
        raise line.fault(node, "no comparison", "one comparison", advice)
    if len(node.ops) > 1:
        raise line.fault(node, "comparisons in a chain", "one comparison", "Put each on a line of its own.")
    run = _membership(line, node) if type(node.ops[0]) in _MEMBERSHIP else _comparison(line, node)
    if not line.names:
        raise line.fault(node, "a comparison that reads no name", "a name to compare")
    return Comparison(text, frozenset(line.names), run, _margin(line, node))


def compile_calculation(
    text: str, types: Mapping[str, Type], bound: Mapping[str, Run] = UNBOUND
) -> Calculation:
    """A number worked out from names, numbers, + - * / and abs, area, max, min, sqrt.

    Raises LanguageFault with every mistake found in the line.
    """
    line = Line(text, types, bound)
    term = line.number(parse(text))
    return Calculation(text, frozenset(line.names), term.type, term.run)


def _comparison(line: Line, node: ast.Compare) -> Callable[[Readings], Truth]:
    sign = type(node.ops[0])
    left, right = gathered(line.text, line.term, (node.left, node.comparators[0]))
    if isinstance(left, Numeric) and isinstance(right, Numeric) and left.type == right.type:
        return _of_numbers(line, node, sign, left, right)
    if isinstance(left, Verbal) and isinstance(right, Verbal):
        return _of_words(line, node, sign, left, right)
    advice = "A number with a unit belongs in limits.yaml." if BARE in (left.type, right.type) else ""
    raise line.fault(node, f"{left.type} against {right.type}", "two of a kind", advice)


def _margin(line: Line, node: ast.Compare) -> Callable[[Readings], float | None] | None:
    if type(node.ops[0]) not in _ORDERS:
        return None
    left, right = line.term(node.left), line.term(node.comparators[0])
    if isinstance(left, Numeric) and isinstance(right, Numeric):
        return of_two(operator.sub, left.run, right.run)
    return None


def _of_numbers(
    line: Line, node: ast.Compare, sign: type[ast.cmpop], left: Numeric, right: Numeric
) -> Callable[[Readings], Truth]:
    if sign in _ORDERS:
        return compared(_ORDERS[sign], left.run, right.run)
    if sign in _SAMENESS:
        wanted = _SAMENESS[sign]
        return compared(lambda a, b: truth.near(a, b) is wanted, left.run, right.run)
    raise line.fault(node, "a sign that a rule cannot use", "< <= == != >= >")


def _of_words(
    line: Line, node: ast.Compare, sign: type[ast.cmpop], left: Verbal, right: Verbal
) -> Callable[[Readings], Truth]:
    if sign not in _SAMENESS:
        raise line.fault(node, "an order between words", "==, !=, in or not in")
    _check_spelling(line, node.comparators[0], right, left)
    _check_spelling(line, node.left, left, right)
    if (
        left.type.words is not None
        and right.type.words is not None
        and not left.type.words & right.type.words
    ):
        raise line.fault(node, f"{left.type} against {right.type}", "choices with a word in common")
    wanted = _SAMENESS[sign]
    return compared(lambda a, b: (a == b) is wanted, left.run, right.run)


def _membership(line: Line, node: ast.Compare) -> Callable[[Readings], Truth]:
    left, group = line.term(node.left), node.comparators[0]
    if not isinstance(left, Verbal) or left.literal is not None:
        raise line.fault(node.left, f"{left.type} before `in`", "a name that holds a choice")
    if not isinstance(group, ast.Tuple) or not group.elts:
        raise line.fault(group, "no list of words", 'words in brackets, such as in ("disc", "orifice")')
    among = frozenset(gathered(line.text, lambda element: _listed_word(line, element, left), group.elts))
    wanted, run = _MEMBERSHIP[type(node.ops[0])], left.run
    return lambda readings: None if (word := run(readings)) is None else (word in among) is wanted


def _listed_word(line: Line, node: ast.expr, chosen: Verbal) -> str:
    word = line.term(node)
    if not isinstance(word, Verbal) or word.literal is None:
        raise line.fault(node, "something else than a word", "a word in quotes")
    _check_spelling(line, node, word, chosen)
    return word.literal


def _check_spelling(line: Line, node: ast.expr, word: Verbal, chosen: Verbal) -> None:
    words = chosen.type.words
    if word.literal is None or chosen.literal is not None or words is None or word.literal in words:
        return
    known = sorted(words)
    raise line.fault(
        node,
        f'the unknown choice "{word.literal}"',
        f"one of {', '.join(known)}",
        did_you_mean(word.literal, known),
    )
