"""Two builds side by side, as text: what decides first, then what differs, what becomes of findings, the numbers."""

from collections.abc import Iterator, Sequence

from upfeed.advising.comparing.comparison import (
    Beside,
    BuildComparison,
    ComparedBuild,
    Held,
    Kept,
    PointBeside,
    SlotDiffers,
    Standing,
    ValueDiffers,
)
from upfeed.answering.answer import Finding
from upfeed.judging.message import System
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading import units
from upfeed.text.prose import bulleted, listed, words, wrapped
from upfeed.text.say import VERDICTS
from upfeed.text.sure import of_hundred
from upfeed.text.tables import HEADLINES, Tables, bounded

IN_BRACKETS = (
    "In brackets behind B/A: nine of ten draws lie within, where that is wider than two digits. A value that A and B"
    " share is off in both alike."
)

_WENT = {
    "worse": "has grown worse",
    "lighter": "weighs less",
    "same": "as before",
    "mixed": "better and worse",
}


class Comparer:
    """Says comparisons in one system of units; the first build is A, the second B."""

    def __init__(self, vocabulary: Vocabulary, system: System = "shop") -> None:
        self._tables = Tables(vocabulary, system)

    def comparison(self, told: BuildComparison) -> str:
        """The whole comparison as text."""
        sections = (
            self._first(told),
            _sides(told),
            _differing(told),
            _findings(told),
            _unknown(told),
            self._points(told),
            self._once("Over the turn of the cam", told.timing),
            self._once("Preload, cold", told.preload),
            _in_brackets(told),
            bulleted("Cautions", told.cautions),
        )
        return "\n".join(line for section in sections for line in section).rstrip() + "\n"

    def _first(self, told: BuildComparison) -> Iterator[str]:
        yield from wrapped(" ".join(filter(None, [_verdicts(told), self._idle(told)])))
        yield ""

    def _idle(self, told: BuildComparison) -> str:
        """What the first point says of oil and pressure, where both are known."""
        point = next(iter(told.points), None)
        numbers = {c.name.partition(".")[0]: c for c in point.computed} if point else {}
        flow, pressure = numbers.get("worst_valve_flow"), numbers.get("gallery_pressure")
        if point is None or flow is None or flow.times is None or pressure is None:
            return ""
        times = _times(flow)
        oil = "as much oil" if times == "1" else f"{times} times the oil"
        was, now = (self._tables.number(pressure.name, value) for value in (pressure.first, pressure.second))
        drop = f"stays at {was}" if was == now else f"goes from {was} to {now}"
        return f"At {words(point.point)} the worst valve gets {oil} in B, and gallery pressure {drop}."

    def _points(self, told: BuildComparison) -> Iterator[str]:
        yield _row("Pressures and flows", "A", "B", "B/A")
        for i, point in enumerate(told.points):
            yield from wrapped(_point(point), "  ", "    ")
            # Each consumer's oil is shown where the pump is shortest.
            yield from (self._beside(c) for c in point.computed if _is_told(c, fully=i == 0))
        yield ""

    def _once(self, title: str, numbers: Sequence[Beside]) -> Iterator[str]:
        told = [c for c in numbers if _is_told(c, fully=True)]
        if told:
            yield _row(title, "A", "B", "B/A")
            yield from map(self._beside, told)
            yield ""

    def _beside(self, c: Beside) -> str:
        label = c.name.removesuffix(f".{c.point}").removeprefix("consumer_flow.")
        first, second = self._one(c.name, c.first, c.first_band), self._one(c.name, c.second, c.second_band)
        return _row(f"    {words(label)}", first, second, _times(c))

    def _one(self, name: str, value: float | str | None, band: tuple[float, float] | None) -> str:
        """Bounds only where nothing else is known: with both numbers in a row they would not fit."""

        def one(number: float | str) -> str:
            return self._tables.number(name, number)

        return bounded(value, band if value is None else None, one, "-")


def _verdicts(told: BuildComparison) -> str:
    was, now = VERDICTS[told.first.verdict], VERDICTS[told.second.verdict]
    goes = f"Both say {now}" if was == now else f"The verdict goes from {was} to {now}"
    what = [
        *(f"{words(rule)} is new" for rule in _rules(told.new)),
        *(f"{words(k.rule)} has grown worse" for k in told.kept if k.change == "worse"),
        *(f"{words(rule)} is gone" for rule in _rules(told.gone)),
    ]
    return f"{goes}: {listed(what)}." if what and told.same_family else f"{goes}."


def _rules(findings: Sequence[Finding]) -> Sequence[str]:
    return list(dict.fromkeys(finding.rule for finding in findings))


def _sides(told: BuildComparison) -> Iterator[str]:
    for letter, side in (("A", told.first), ("B", told.second)):
        yield from wrapped(f"{letter}: {_side(side)}", "", "   ")
    yield ""


def _side(side: ComparedBuild) -> str:
    named = f"{side.name} (family {side.family})" if side.name else f"of the family {side.family}"
    holds = side.verdict_holds_in
    sure = "" if holds is None else f", in {of_hundred(holds)} draws of its values' spread"
    return f"{named}: {VERDICTS[side.verdict]}{sure}"


def _differing(told: BuildComparison) -> Iterator[str]:
    given = [*told.settings, *told.points_held]
    if not told.slots and not given:
        yield from ("A and B do not differ in parts or settings.", "")
        return
    yield "Differs from A to B in"
    for slot in told.slots:
        yield from wrapped(_slot(slot), "    ", "      ")
        if told.same_family:
            yield from _values(slot.values, "      ")
    yield from _values(given, "    ")
    if any(slot.values for slot in told.slots) and not told.same_family:
        yield "    (the values of parts that differ are listed in --format json)"
    yield ""


def _slot(slot: SlotDiffers) -> str:
    name = words(slot.slot)
    if slot.first is None or slot.second is None:
        own = slot.first or slot.second
        letter = "A" if slot.first else "B"
        return f"{name}: {_standing(own)}{_at(own.at)}, only in {letter}" if own else name
    return f"{name}{_at(slot.first.at)}: {_standing(slot.first)} -> {_standing(slot.second)}"


def _standing(standing: Standing) -> str:
    return standing.part or standing.name


def _values(values: Sequence[ValueDiffers], margin: str) -> Iterator[str]:
    for value in values:
        if not value.same_value:
            told = f"{_value_name(value.name)}: {value.first.shown} -> {value.second.shown}"
            yield from wrapped(told, margin, margin + "  ")
    alike = [value for value in values if value.same_value]
    if alike:
        told = ", ".join(
            f"{_value_name(v.name)} {v.first.shown} ({v.first.standing} -> {v.second.standing})"
            for v in alike
        )
        yield from wrapped(f"same value, otherwise known: {told}", margin, margin + "  ")


def _value_name(name: str) -> str:
    slot, _, attribute = name.partition(".")
    return words(attribute.replace(".", ", ") if slot == "points" else attribute)


def _findings(told: BuildComparison) -> Iterator[str]:
    if not (told.new or told.gone or told.kept):
        yield from ("No findings in either.", "")
        return
    yield "Findings"
    for title, findings in (("new in B", told.new), ("gone from A", told.gone)):
        if findings:
            yield f"  {title}"
        for finding in findings:
            yield from _finding(finding)
    if told.kept:
        yield "  in both"
    for kept in told.kept:
        yield from _kept(kept)
    yield ""


def _finding(finding: Finding) -> Iterator[str]:
    accepted = ", accepted" if finding.accepted else ""
    yield from wrapped(f"{finding.weighs}{accepted}: {words(finding.rule)}{_at(finding.place.at)}", "    ")
    yield from wrapped(finding.says, "      ")


def _kept(kept: Kept) -> Iterator[str]:
    places = kept.first_at if kept.first_at == kept.second_at else f"{kept.first_at} -> {kept.second_at}"
    accepted = ", accepted in B" if kept.second_accepted else ""
    lapsed = ", accepted in A only" if kept.first_accepted and not kept.second_accepted else ""
    went = f"; {_WENT[kept.change]}" if kept.change else ""
    head = f"{kept.weighs}{accepted}{lapsed}: {words(kept.rule)}{_at(places)}{went}{_figures(kept)}"
    yield from wrapped(head, "    ", "      ")
    yield from wrapped(f"In B: {kept.says}", "      ")


def _figures(kept: Kept) -> str:
    was, now = kept.first_figure, kept.second_figure
    if was is None or now is None or was.shown == now.shown:
        return ""
    return f", {was.shown} -> {now.shown}"


def _unknown(told: BuildComparison) -> Iterator[str]:
    names = {
        letter: dict.fromkeys(f"{words(u.name)}{_at(u.at)}" for u in side.unknown)
        for letter, side in (("A", told.first), ("B", told.second))
    }
    if not any(names.values()):
        return
    yield "Not known yet"
    for name in dict.fromkeys((*names["A"], *names["B"])):
        where = " and ".join(letter for letter, own in names.items() if name in own)
        yield from wrapped(f"{name}: in {where}", "  ")
    yield ""


def _point(point: PointBeside) -> str:
    if point.first == point.second:
        return f"{words(point.point)}, {_held(point.first)}"
    return f"{words(point.point)}; A: {_held(point.first)}; B: {_held(point.second)}"


def _held(held: Held) -> str:
    if held.speed_rpm is None:
        return f"not computed, {held.lacks}"
    return f"{held.speed_rpm:g} rpm, oil {held.oil_temperature_c:g} C"


def _is_told(c: Beside, *, fully: bool) -> bool:
    """Headlines everywhere, single consumers where all is told; nothing that neither has."""
    if (c.first, c.second) == (0.0, 0.0) or (c.first, c.second, c.first_band, c.second_band) == (None,) * 4:
        return c.name.partition(".")[0] in HEADLINES[:4] and c.first is not None
    return fully or c.name.partition(".")[0] in HEADLINES


def _times(c: Beside) -> str:
    """B over A as 1.82 (1.7 to 2); no bounds that are one number to two digits."""
    if c.times is None:
        return "-"
    times, ends = units.show(c.times, "ratio", ""), _ends(c)
    return f"{times} ({' to '.join(ends)})" if ends else times


def _ends(c: Beside) -> Sequence[str]:
    ends = [units.show(end, "ratio", "", 2) for end in c.times_band or ()]
    return ends if len(set(ends)) > 1 else ()


def _in_brackets(told: BuildComparison) -> Iterator[str]:
    """What the bounds of ratios mean, where any are shown."""
    numbers = (*(c for point in told.points for c in point.computed), *told.timing, *told.preload)
    if any(_ends(c) for c in numbers):
        yield from wrapped(IN_BRACKETS)
        yield ""


def _row(label: str, first: str, second: str, times: str) -> str:
    return f"{label:<30}{first:>22}{second:>22}{times:>22}".rstrip()


def _at(at: str) -> str:
    return "" if at == "all" else f", {at}"
