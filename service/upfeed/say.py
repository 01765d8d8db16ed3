"""Puts an answer into the words of the trade, for a person at a counter or a bench."""

import textwrap
from collections.abc import Iterable, Iterator, Mapping

from upfeed import units
from upfeed.answer import Answer, Computed, Finding, Rung, SolvedPoint
from upfeed.message import System
from upfeed.vocabulary import Fact, Vocabulary

WIDTH = 96

_VERDICTS = {
    "stop": "Stop",
    "cannot_tell_yet": "Can't tell yet",
    "go_with_care": "Go with care",
    "go": "Go",
}
_HEADLINES = (
    "gallery_pressure",
    "pump_delivery",
    "top_end_flow",
    "worst_valve_flow",
    "top_end_share",
    "hot_preload",
)


class Speaker:
    """Says answers in one system of units."""

    def __init__(self, vocabulary: Vocabulary, system: System = "shop") -> None:
        self._vocabulary, self._system = vocabulary, system

    def answer(self, answer: Answer) -> str:
        """The whole answer as text, the sentence that decides first."""
        sections = (
            self._verdict(answer),
            self._findings(answer),
            self._unknown(answer),
            self._points(answer),
            self._ladder(answer),
            self._turn(answer),
            _built(answer),
            _cautions(answer),
        )
        return "\n".join(line for section in sections for line in section).rstrip() + "\n"

    def sentence(self, answer: Answer) -> str:
        """The verdict as the one sentence that decides."""
        return f"{_VERDICTS[answer.verdict]}: {self._deciding(answer)}"

    def _verdict(self, answer: Answer) -> Iterator[str]:
        yield from _wrapped(self.sentence(answer))
        yield ""
        yield from _wrapped(f"Build: {answer.build.name} (family {answer.build.family})")
        yield ""

    def _deciding(self, answer: Answer) -> str:
        found = {finding.id: finding for finding in answer.findings}
        deciding = next((found[id_] for id_ in answer.decided_by if id_ in found), None)
        if deciding:
            return deciding.says
        if answer.verdict == "cannot_tell_yet":
            return " ".join(f"{_words(u.name)}{_at(u.at)}: {u.measure}." for u in answer.unknown if u.blocks)
        return self._all_well(answer)

    def _all_well(self, answer: Answer) -> str:
        idle = next((p for p in answer.points if isinstance(p, SolvedPoint)), None)
        numbers = {c.name.split(".")[0]: c for c in idle.computed} if idle else {}
        flow, pressure = numbers.get("top_end_flow"), numbers.get("gallery_pressure")
        if idle is None or flow is None or pressure is None:
            return "nothing stands against it."
        share = (
            "an unknown share of" if flow.ratio is None else f"{units.show(flow.ratio, 'ratio', '')} times"
        )
        return (
            f"nothing stands against it. At {_words(idle.point)} the rockers get {share} the oil the family was"
            f" designed for, at {self._shown(pressure, pressure.build)}."
        )

    def _findings(self, answer: Answer) -> Iterator[str]:
        if not answer.findings:
            return
        explained = {id_ for finding in answer.findings for id_ in finding.explains}
        by_id = {finding.id: finding for finding in answer.findings}
        yield "Findings"
        for finding in answer.findings:
            if finding.id not in explained:
                yield from self._finding(finding, by_id, "  ", set())
        yield ""

    def _finding(
        self, finding: Finding, by_id: Mapping[str, Finding], margin: str, told: set[str]
    ) -> Iterator[str]:
        told.add(finding.id)
        heading = f"{finding.weighs}: {_words(finding.rule)}{_at(finding.place.at)}"
        yield from _wrapped(heading, margin)
        inner = margin + "  "
        yield from _wrapped(finding.says, inner)
        yield from _wrapped(f"Why: {finding.why}", inner)
        for against in finding.against:
            yield from _wrapped(f"Designed so ({against.intent}): {against.says}", inner)
        for quantity in (q for q in finding.values if q.origin and not q.name.startswith("limits.")):
            standing = f", {quantity.standing}" if quantity.standing else ""
            source = f" ({quantity.source})" if quantity.source else ""
            yield from _wrapped(f"{_words(quantity.name)}: {quantity.shown}{standing}{source}", inner)
        if finding.accepted:
            taken = finding.accepted
            yield from _wrapped(f"Accepted by {taken.by} until {taken.until}: {taken.reason}", inner)
        for id_ in finding.explains:
            if id_ not in told:
                yield f"{inner}which leads to"
                yield from self._finding(by_id[id_], by_id, inner + "  ", told)

    def _unknown(self, answer: Answer) -> Iterator[str]:
        if not answer.unknown:
            return
        yield "Not known yet"
        for unknown in answer.unknown:
            yield from _wrapped(f"{_words(unknown.name)}{_at(unknown.at)}: {unknown.measure}", "  ")
            waiting = ", ".join(map(_words, unknown.blocks)) or "nothing; no rule depends on it here"
            yield from _wrapped(f"waits for it: {waiting}", "    ")
        yield ""

    def _points(self, answer: Answer) -> Iterator[str]:
        yield f"{'Pressures and flows':<40}{'this build':>16}{'reference':>16}{'times':>9}"
        for point in answer.points:
            if isinstance(point, SolvedPoint):
                yield f"  {_words(point.point)}, {point.speed_rpm:g} rpm, oil {point.oil_temperature_c:g} C"
                # Each consumer's oil is shown where the pump is shortest; the other points get the headlines.
                full = point.point == answer.points[0].point
                yield from (self._row(c) for c in point.computed if full or _is_headline(c))
            else:
                yield from _wrapped(f"{_words(point.point)}: not computed, {point.reason}", "  ")
        yield ""

    def _row(self, computed: Computed) -> str:
        label = _words(computed.name.removesuffix(f".{computed.point}").removeprefix("consumer_flow."))
        own = self._shown(computed, computed.build)
        if computed.build is None and computed.band:
            low, high = (self._shown(computed, end) for end in computed.band)
            own = f"{low.partition(' ')[0]} to {high}"
        times = "-" if computed.ratio is None else units.show(computed.ratio, "ratio", "")
        return f"    {label:<36}{own:>16}{self._shown(computed, computed.reference):>16}{times:>9}"

    def _shown(self, computed: Computed, value: float | str | None) -> str:
        fact = self._fact(computed.name)
        if value is None or fact is None or fact.quantity is None:
            return "not known" if value is None else str(value)
        assert isinstance(value, float)
        return units.show(value, fact.quantity, self._unit(fact.shown_in))

    def _unit(self, shop: str) -> str:
        return shop if self._system == "shop" else units.shown_in(shop)

    def _fact(self, name: str) -> Fact | None:
        return self._vocabulary.facts.get(name.partition(".")[0])

    def _ladder(self, answer: Answer) -> Iterator[str]:
        """The ladder at the first point, once for valves that share it."""
        first = answer.path[0].point if answer.path else None
        groups: dict[tuple[str, ...], list[Rung]] = {}
        for rung in answer.path:
            if rung.point == first:
                groups.setdefault((rung.at,), []).append(rung)
        merged: dict[tuple[str, ...], list[str]] = {}
        for (at,), rungs in groups.items():
            merged.setdefault(tuple(self._rung(r) for r in rungs), []).append(at)
        for rows, ats in merged.items():
            where = "" if len(merged) == 1 else f", {' and '.join(ats)}"
            title = f"Pressure ladder at {_words(str(first))}{where}"
            yield f"{title:<40}{'ahead of it':>16}{'of the drop':>16}"
            yield from rows
            yield ""

    def _rung(self, rung: Rung) -> str:
        gallery = self._vocabulary.facts["gallery_pressure"]
        ahead, share = rung.pressure.build, rung.share_of_drop.build
        pressure = (
            units.show(ahead, "pressure", self._unit(gallery.shown_in)) if isinstance(ahead, float) else "-"
        )
        part = units.show(share, "ratio", "%", 2) if isinstance(share, float) else "no flow"
        return f"    {_words(rung.place):<36}{pressure:>16}{part:>16}"

    def _turn(self, answer: Answer) -> Iterator[str]:
        if not answer.timing:
            return
        yield f"{'Over the turn of the cam':<40}{'this build':>16}{'reference':>16}{'times':>9}"
        yield from (self._row_of_turn(c) for c in answer.timing)
        yield ""

    def _row_of_turn(self, computed: Computed) -> str:
        own, reference = (
            "never" if value is None else self._shown(computed, value)
            for value in (computed.build, computed.reference)
        )
        if computed.build is None and computed.band:
            own = "not known"
        times = "-" if computed.ratio is None else units.show(computed.ratio, "ratio", "")
        return f"    {_words(computed.name):<36}{own:>16}{reference:>16}{times:>9}"


def _is_headline(computed: Computed) -> bool:
    return computed.name.partition(".")[0] in _HEADLINES


def _built(answer: Answer) -> Iterator[str]:
    chosen = [slot for slot in answer.build.slots if slot.chosen]
    yield "Differs from the reference in"
    for slot in chosen:
        yield f"    {_words(slot.slot)}{_at(slot.at)}: {slot.part or 'as given'}"
    for setting in answer.build.settings:
        if setting.origin and hasattr(setting.origin, "build"):
            yield f"    {_words(setting.name)}: {setting.shown}"
    yield ""


def _cautions(answer: Answer) -> Iterator[str]:
    yield "Cautions"
    for caution in answer.cautions:
        yield from _wrapped(caution, "  - ", "    ")


def _wrapped(text: str, margin: str = "", hanging: str | None = None) -> Iterable[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=margin, subsequent_indent=margin if hanging is None else hanging
    )


def _words(name: str) -> str:
    return name.replace("_", " ").replace("-", " ").replace(".", " ")


def _at(at: str) -> str:
    return "" if at == "all" else f", {at}"
