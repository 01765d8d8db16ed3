"""A rule's condition as one function of what is known in a single case, for the many rules that stay quiet.

It gives the very truth that `condition.weigh` gives for that case, and none of the reasons.
"""

from collections.abc import Callable, Iterable, Mapping

from upfeed.judging.condition import Condition
from upfeed.judging.dimension import Type
from upfeed.judging.language import Comparison, compile_calculation, compile_comparison
from upfeed.judging.rules import Let, Limit
from upfeed.judging.terms import Readings, Run
from upfeed.judging.truth import Truth

Test = Callable[[Readings], Truth]


def quick_test(
    when: Condition, lets: Iterable[Let], limits: Mapping[str, Limit], types: Mapping[str, Type]
) -> Test:
    """The truth of a condition from the names a rule reads alone; limits and calculations are built in."""
    bound: dict[str, Run] = {name: _constant(limit.value) for name, limit in limits.items()}
    for let in lets:
        bound[let.name] = compile_calculation(let.calculation.text, types, bound).run
    return _test(when, types, bound)


def _constant(value: float) -> Run:
    return lambda _: value


def _test(condition: Condition, types: Mapping[str, Type], bound: Mapping[str, Run]) -> Test:
    if isinstance(condition, Comparison):
        return compile_comparison(condition.text, types, bound).run
    return _GROUPS[condition.by](tuple(_test(part, types, bound) for part in condition.parts))


def _all(parts: tuple[Test, ...]) -> Test:
    def run(readings: Readings) -> Truth:
        truth: Truth = True
        for part in parts:
            found = part(readings)
            if found is False:
                return False
            if found is None:
                truth = None
        return truth

    return run


def _any(parts: tuple[Test, ...]) -> Test:
    def run(readings: Readings) -> Truth:
        truth: Truth = False
        for part in parts:
            found = part(readings)
            if found:
                return True
            if found is None:
                truth = None
        return truth

    return run


def _none(parts: tuple[Test, ...]) -> Test:
    some = _any(parts)

    def run(readings: Readings) -> Truth:
        found = some(readings)
        return None if found is None else not found

    return run


_GROUPS: Mapping[str, Callable[[tuple[Test, ...]], Test]] = {"all": _all, "any": _any, "none": _none}
