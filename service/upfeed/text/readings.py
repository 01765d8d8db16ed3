"""What gauge readings tell, in the words of a workshop."""

from collections.abc import Iterator

from upfeed.advising.gauge.readinganswer import Cause, Explanation, Outcome, ReadingsAnswer, ReadingTold
from upfeed.judging.message import System
from upfeed.reading import units
from upfeed.text.prose import listed, words, wrapped

_MOST_ALIKE = 6
_NOTHING = units.parse("0.1 psi", "pressure")

_SAID: dict[Outcome, str] = {
    "agrees": "Agrees: every reading is what is expected of this build, within the gauge's error. Nothing to explain.",
    "explained": "Explained: one value alone explains the readings, and no other does.",
    "cannot_tell": "Can't tell: the readings differ from what is expected, and more than one thing explains them.",
    "two_at_once": "No one value explains the readings; two together do.",
    "more_than_two": "More than two values would have to be off at once: the build can give these readings, but they do"
    " not tell how. Measure what is listed as typical or assumed first, then read again.",
    "contradictory": "The readings contradict each other, or this build: nothing found within all that its values can"
    " be gives all of them. Check the gauge, the port it stands in, speed and oil temperature, and read again.",
    "impossible": "Beyond any possibility of this build: see what is said below the readings. Check the gauge and its"
    " unit, the port it stands in, and that the build is the engine that was read.",
    "unknown": "Can't tell yet: nothing can be expected of this build before what is listed is known.",
}


def readings(answer: ReadingsAnswer, system: System = "shop") -> str:
    """The whole answer as text, the sentence that decides first."""
    say = _Say(system)
    lines = (
        *wrapped(_said(answer)),
        "",
        *wrapped(f"Build: {answer.build} (family {answer.family})"),
        "",
        *say.table(answer),
        *say.explanations(answer),
        *_alike(answer),
        *_unknown(answer),
        "Cautions",
        *(line for caution in answer.cautions for line in wrapped(caution, "  - ", "    ")),
    )
    return "\n".join(lines) + "\n"


def _said(answer: ReadingsAnswer) -> str:
    first = answer.explanations[0] if answer.explanations else None
    if answer.outcome == "explained" and first and first.alike:
        many = len(first.alike) + 1
        return f"Explained: one of {many} values that move the gauge alike explains the readings; nothing else does."
    if answer.outcome == "two_at_once" and len(answer.explanations) > 1:
        return "No one value explains the readings. Two together do, and there is more than one such pair."
    return _SAID[answer.outcome]


class _Say:
    """Says pressures in one system of units."""

    def __init__(self, system: System) -> None:
        self._unit = "psi" if system == "shop" else units.shown_in("psi")

    def table(self, answer: ReadingsAnswer) -> Iterator[str]:
        yield _row("Readings", "gauge at", "read", "expected", "may be off", "filter takes")
        for reading in answer.readings:
            yield self._reading(reading)
        yield from wrapped(self._gauge(answer), "  ")
        yield from (line for told in answer.readings for line in self._beyond(told))
        yield ""

    def _reading(self, told: ReadingTold) -> str:
        numbers = (told.read, told.expected, told.may_be_off, told.filter_drop)
        shown = ("not known" if number is None else self._pressure(number) for number in numbers)
        return _row(f"  {told.written}", words(told.port), *shown)

    def _beyond(self, told: ReadingTold) -> Iterator[str]:
        if told.least is None or told.most is None:
            return
        if not told.least - told.may_be_off <= told.read <= told.most + told.may_be_off:
            low, high = (units.show(end, "pressure", self._unit, 2) for end in (told.least, told.most))
            ends = f"{low if told.least > _NOTHING else 'next to nothing'} to {high}"
            said = f"{told.written}: with every value as far off as it can be, this build shows {ends} there."
            yield from wrapped(said, "  ")

    def _gauge(self, answer: ReadingsAnswer) -> str:
        gauge = answer.gauge
        if gauge.full_scale is None or gauge.accuracy_class is None:
            return f"The gauge may be off by {gauge.written}, as given."
        full = units.show(gauge.full_scale, "pressure", "bar")
        return (
            f"Assumed: a gauge of class {gauge.accuracy_class:g} (EN 837-1), off by no more than"
            f" {gauge.accuracy_class:g} % of its full scale of {full}; say how good yours is with --error."
        )

    def explanations(self, answer: ReadingsAnswer) -> Iterator[str]:
        if not answer.explanations:
            return
        yield "What explains them, what stretches least first"
        for number, explanation in enumerate(answer.explanations, start=1):
            yield from self._explanation(number, explanation)
        yield ""

    def _explanation(self, number: int, told: Explanation) -> Iterator[str]:
        yield from wrapped(f"{'; and '.join(map(_cause, told.causes))}.", f"  {number}. ", "     ")
        yield from wrapped(self._left(told.left_over), "     ")
        for cause in told.causes:
            if cause.stands_for:
                others = listed(words(name) for name in cause.stands_for[:_MOST_ALIKE])
                yield from wrapped(f"For {words(cause.name)} there could also stand {others}.", "     ")
            yield from wrapped(f"Bench check: {cause.measure}", "     ", "       ")
        if told.alike:
            yield "     The gauge cannot part it from"
        for cause in told.alike[:_MOST_ALIKE]:
            yield from wrapped(f"{_cause(cause)}. Bench check: {cause.measure}", "       - ", "         ")
        if more := [words(cause.name) for cause in told.alike[_MOST_ALIKE:]]:
            yield from wrapped(f"- and, stretched further, {listed(more)}", "       ", "         ")

    def _left(self, left_over: list[float]) -> str:
        most = max(map(abs, left_over))
        if most < _NOTHING:
            return f"Every reading is then what is expected, to {self._pressure(_NOTHING)}."
        return (
            f"What is then expected is within {units.show(most, 'pressure', self._unit, 2)} of every reading."
        )

    def _pressure(self, pressure: float) -> str:
        return units.show(pressure, "pressure", self._unit)


def _cause(cause: Cause) -> str:
    where = "" if cause.at in ("all", cause.slot) else f", {cause.at}"
    within = abs(cause.spreads) <= 1
    far = "within what it may be off" if within else f"{abs(cause.spreads):.2g} times what it may be off"
    return f"{words(cause.name)}{where}: {cause.shown} instead of {cause.given} ({cause.standing}), {far}"


def _alike(answer: ReadingsAnswer) -> Iterator[str]:
    points = {(told.speed_rpm, told.oil_temperature_c, told.port) for told in answer.readings}
    if answer.outcome == "cannot_tell" and len(points) == 1:
        said = (
            "All was read at one place, speed and temperature, and one number cannot tell two causes apart. Read again"
            " hot at another idle speed, above 3000 rpm, and with the oil at another temperature."
        )
        yield from (*wrapped(said), "")
    elif answer.too_alike:
        names = listed(words(name) for name in answer.too_alike)
        yield from (*wrapped(f"Too much alike to be ruled out by these readings: {names}."), "")


def _unknown(answer: ReadingsAnswer) -> Iterator[str]:
    for unknown in answer.unknown:
        where = "" if unknown.at == "all" else f" ({words(unknown.at)})"
        yield from wrapped(f"{words(unknown.name)}{where}: {unknown.measure}", "  ", "    ")
    if answer.unknown:
        yield ""


def _row(label: str, *cells: str) -> str:
    return f"{label:<34}{''.join(f'{cell:>12}' for cell in cells[:-1])}{cells[-1]:>14}".rstrip()
