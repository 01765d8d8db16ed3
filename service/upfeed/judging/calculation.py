"""Calculations in a rule's line: names, numbers, + - * / and five functions, checked for dimension."""

import ast
import math
import operator
from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType

from upfeed.judging import dimension
from upfeed.judging.dimension import BARE, Number, Type, Unchecked, Word
from upfeed.judging.syntax import LanguageFault, Mistake, gathered, span
from upfeed.judging.terms import Numeric, Run, Term, Verbal, of_one, of_two, reads_number, reads_word
from upfeed.reading.nearest import did_you_mean

_ARITHMETIC: Mapping[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}
_OF_ONE: Mapping[str, Callable[[float], float]] = {
    "abs": abs,
    "area": lambda diameter: math.pi / 4 * diameter * diameter,
    "sqrt": math.sqrt,
}
_OF_MANY: Mapping[str, Callable[[float, float], float]] = {"max": max, "min": min}

UNBOUND: Mapping[str, Run] = MappingProxyType({})


class Line:
    """One line of a rule and the types of the names it may use; turns its nodes into terms.

    Names that are `bound` are worked out as given there, all others are read.

    Every method raises LanguageFault with all mistakes below the node it is given.
    """

    def __init__(self, text: str, types: Mapping[str, Type], bound: Mapping[str, Run] = UNBOUND) -> None:
        self.text = text
        self.bound = bound
        self.types = types
        self.names: set[str] = set()

    def term(self, node: ast.expr) -> Term:
        """The node as a number or a word."""
        match node:
            case ast.Name() | ast.Attribute():
                return self._name(node)
            case ast.Constant(value=str(word)):
                return Verbal(Word(frozenset({word})), lambda _: word, word)
            case ast.Constant(value=int() | float() as value) if not isinstance(value, bool):
                return self._literal(node, float(value))
            case ast.UnaryOp(op=ast.USub()):
                operand = self._calculable(node.operand)
                return Numeric(operand.type, of_one(operator.neg, operand.run))
            case ast.BinOp():
                return self._arithmetic(node)
            case ast.Call():
                return self._call(node)
        raise self.fault(node, "something that a rule cannot say", "names, numbers, words in quotes, + - * /")

    def number(self, node: ast.expr) -> Numeric:
        """The node as a number."""
        term = self.term(node)
        if isinstance(term, Verbal):
            raise self.fault(node, str(term.type), "a number")
        return term

    def numbers(self, nodes: Iterable[ast.expr]) -> list[Numeric]:
        """The nodes as numbers."""
        return gathered(self.text, self.number, nodes)

    def fault(self, node: ast.expr, found: str, expected: str, advice: str = "") -> LanguageFault:
        """One mistake at a node."""
        start, end = span(self.text, node)
        return LanguageFault(self.text, (Mistake(start, end, found, expected, advice),))

    def _name(self, node: ast.Name | ast.Attribute) -> Term:
        start, end = span(self.text, node)
        name = self.text[start:end]  # as written: `ast` folds look-alike letters into ASCII ones
        self.names.add(name)
        match self.types.get(name):
            case Number() as number:
                return Numeric(number, self.bound.get(name) or reads_number(name))
            case Word() as word:
                return Verbal(word, self.bound.get(name) or reads_word(name))
            case Unchecked():
                raise LanguageFault(self.text, ())
        raise self.fault(
            node, f"the unknown name {name}", "a name that this rule can read", did_you_mean(name, self.types)
        )

    def _literal(self, node: ast.Constant, value: float) -> Numeric:
        if math.isinf(value):
            raise self.fault(node, "a number beyond all bounds", "a finite number")
        return Numeric(BARE, lambda _: value)

    def _calculable(self, node: ast.expr) -> Numeric:
        operand = self.number(node)
        if operand.type.absolute:
            raise self.fault(node, "a temperature in a calculation", "a difference of two temperatures")
        return operand

    def _arithmetic(self, node: ast.BinOp) -> Numeric:
        calculate = _ARITHMETIC.get(type(node.op))
        if calculate is None:
            raise self.fault(node, "an operator that a rule cannot use", "+ - * /")
        of_scale = self.number if isinstance(node.op, ast.Sub) else self._calculable
        left, right = gathered(self.text, of_scale, (node.left, node.right))
        return Numeric(self._combined(node, left.type, right.type), of_two(calculate, left.run, right.run))

    def _combined(self, node: ast.BinOp, left: Number, right: Number) -> Number:
        if isinstance(node.op, ast.Mult):
            return dimension.product(left, right)
        if isinstance(node.op, ast.Div):
            return dimension.quotient(left, right)
        if left != right:
            raise self.fault(node, f"{left} and {right} added up", "two of a kind")
        return Number(left.dimension)  # of two temperatures, only a difference gets here

    def _call(self, node: ast.Call) -> Numeric:
        start, end = span(self.text, node.func)
        function = self.text[start:end]
        if function not in _OF_ONE and function not in _OF_MANY:
            known = sorted([*_OF_ONE, *_OF_MANY])
            raise self.fault(
                node.func, f"the unknown function {function}", ", ".join(known), did_you_mean(function, known)
            )
        if node.keywords or (len(node.args) < 2 if function in _OF_MANY else len(node.args) != 1):
            wanted = "two operands or more" if function in _OF_MANY else "one operand"
            raise self.fault(node, f"{function} of {len(node.args) + len(node.keywords)}", wanted)
        return self._of_many(node, function) if function in _OF_MANY else self._of_one(node, function)

    def _of_many(self, node: ast.Call, function: str) -> Numeric:
        first, *others = self.numbers(node.args)
        run = first.run
        for other in others:
            if other.type != first.type:
                raise self.fault(node, f"{function} of {first.type} and {other.type}", "operands of a kind")
            run = of_two(_OF_MANY[function], run, other.run)
        return Numeric(first.type, run)

    def _of_one(self, node: ast.Call, function: str) -> Numeric:
        operand = self._calculable(node.args[0])
        type_: Number | None = operand.type
        if function == "area":
            type_ = dimension.number("area") if type_ == dimension.number("length") else None
        elif function == "sqrt":
            type_ = dimension.root(operand.type)
        if type_ is None:
            expected = "a diameter" if function == "area" else "what is the square of something"
            raise self.fault(node, f"{function} of {operand.type}", expected)
        return Numeric(type_, of_one(_OF_ONE[function], operand.run))
