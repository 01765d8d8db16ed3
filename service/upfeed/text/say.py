"""Puts an answer into the words of the trade, for a person at a counter or a bench."""

from collections.abc import Collection, Iterator, Mapping

from upfeed.answering.answer import (
    Against,
    Answer,
    Computed,
    Finding,
    Given,
    Mend,
    Quantity,
    SlotFilled,
    SolvedPoint,
    Unknown,
    Written,
)
from upfeed.judging.message import System
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading import units
from upfeed.text.priming import priming
from upfeed.text.prose import bulleted, listed, words, wrapped
from upfeed.text.sure import holds, how_sure, unbounded
from upfeed.text.tables import Tables

VERDICTS = {
    "stop": "Stop",
    "cannot_tell_yet": "Can't tell yet",
    "go_with_care": "Go with care",
    "go": "Go",
}


class Speaker:
    """Says answers in one system of units."""

    def __init__(self, vocabulary: Vocabulary, system: System = "shop") -> None:
        self._tables = Tables(vocabulary, system)

    def answer(self, answer: Answer) -> str:
        """The whole answer as text, the sentence that decides first."""
        plain = unbounded(answer)
        sections = (
            self._verdict(plain),
            _findings(answer),
            _unknown(answer),
            how_sure(answer, self._tables.one),
            self._tables.points(plain),
            self._tables.ladder(plain),
            self._tables.turn(plain),
            self._tables.preload(plain),
            priming(answer),
            _built(answer),
            bulleted("Cautions", answer.cautions),
        )
        return "\n".join(line for section in sections for line in section).rstrip() + "\n"

    def sentence(self, answer: Answer) -> str:
        """The verdict in the sentence that decides: what happens, where, because of which part."""
        found = {finding.id: finding for finding in answer.findings}
        deciding = next((found[id_] for id_ in answer.decided_by if id_ in found), None)
        verdict = VERDICTS[answer.verdict]
        if deciding:
            where = "" if deciding.place.at == "all" else f", {deciding.place.at}"
            return f"{verdict}{where}. {deciding.says}"
        told = _to_measure(answer) if answer.verdict == "cannot_tell_yet" else self._all_well(answer)
        return f"{verdict}: {told}"

    def _verdict(self, answer: Answer) -> Iterator[str]:
        yield from wrapped(self.sentence(answer))
        yield ""
        named = f"{answer.build.name} (family {answer.build.family})" if answer.build.name else ""
        yield from wrapped(f"Build: {named or f'of the family {answer.build.family}'}")
        yield ""

    def _all_well(self, answer: Answer) -> str:
        said = f"nothing stands against it{_reservation(answer)}."
        idle = next((p for p in answer.points if isinstance(p, SolvedPoint)), None)
        numbers = {c.name.split(".")[0]: c for c in idle.computed} if idle else {}
        flow, pressure = numbers.get("top_end_flow"), numbers.get("gallery_pressure")
        if idle is None or flow is None or pressure is None:
            return said
        oil = f"the rockers get {_beside_design(flow)}"
        return f"{said} At {words(idle.point)} {oil}, at {self._tables.shown(pressure)}."


def _reservation(answer: Answer) -> str:
    accepted = any(finding.accepted and finding.weighs != "note" for finding in answer.findings)
    unknown = ", whatever is found where nobody has measured yet" if answer.unknown else ""
    return f"{' but what was accepted' if accepted else ''}{unknown}"


def _beside_design(flow: Computed) -> str:
    """Oil as multiples of the design's, between bounds where it is not known."""
    reference = flow.reference
    if flow.ratio is not None:
        times = units.show(flow.ratio, "ratio", "")
    elif flow.band and isinstance(reference, float) and reference:
        low, high = (units.show(end / reference, "ratio", "", 2) for end in flow.band)
        times = low if low == high else f"{low} to {high}"
    else:
        return "an unknown share of the oil the family was designed for"
    many = "the oil" if times == "1" else f"{times} times the oil"
    return f"{many} the family was designed for"


def _to_measure(answer: Answer) -> str:
    """What has to be measured or chosen first; else what stands in the way."""
    waiting = dict.fromkeys(id_.partition("@")[0] for id_ in answer.decided_by)
    first = [unknown for unknown in answer.unknown if set(waiting) & set(unknown.blocks)]
    left_open = [words(unknown.name) for unknown in first if unknown.name == unknown.slot]
    if left_open:
        return f"choose {listed(f'the {name}' for name in left_open)} first, left open here."
    if any("." not in unknown.name for unknown in first):  # no value of a part, a setting or a point
        return f"it hangs on {listed(words(u.name) for u in first)}; see below what would show it."
    if first:
        return f"measure {listed(f'the {_named(unknown)}' for unknown in first)} first."
    unsolved = dict.fromkeys(p.reason for p in answer.points if not isinstance(p, SolvedPoint))
    if unsolved:
        return f"{listed(unsolved)}."
    return f"what is computed allows both answers on {listed(map(words, waiting))}; see the bounds below."


def _named(unknown: Unknown) -> str:
    return words(unknown.name) if unknown.at == "all" else f"{words(unknown.name)} ({words(unknown.at)})"


def _findings(answer: Answer) -> Iterator[str]:
    if not answer.findings:
        return
    explained = {id_ for finding in answer.findings for id_ in finding.explains}
    by_id = {finding.id: finding for finding in answer.findings}
    yield "Findings"
    told: set[str] = set()
    for finding in answer.findings:
        if finding.id not in explained:
            yield from _finding(finding, by_id, "  ", told)
    yield ""


def _finding(finding: Finding, by_id: Mapping[str, Finding], margin: str, told: set[str]) -> Iterator[str]:
    told.add(finding.id)
    accepted = ", accepted" if finding.accepted else ""
    yield from wrapped(f"{finding.weighs}{accepted}: {words(finding.rule)}{_at(finding.place.at)}", margin)
    inner = margin + "  "
    yield from (line for text in _paragraphs(finding) for line in wrapped(text, inner))
    for id_ in finding.explains:
        if id_ not in told:
            yield f"{inner}which leads to"
            yield from _finding(by_id[id_], by_id, inner + "  ", told)


def _paragraphs(finding: Finding) -> Iterator[str]:
    yield finding.says
    yield f"Why: {finding.why}"
    yield from filter(None, [holds(finding)])
    yield from map(_intent, finding.against)
    yield from map(_mend, finding.mends)
    yield from (_used(quantity) for quantity in finding.values if _is_of_a_part(quantity))
    if finding.accepted:
        taken = finding.accepted
        yield f"Accepted by {taken.by} until {taken.until}: {taken.reason}"
    if finding.lapsed:
        was = finding.lapsed
        yield f"{was.by} took this on until {was.until} ({was.reason}), but {was.lapsed_by}."


def _intent(against: Against) -> str:
    by, _, about = against.intent.rpartition(": ")
    return f"Designed so ({by} on {listed(words(name) for name in about.split(', '))}): {against.says}"


def _mend(mend: Mend) -> str:
    changes = listed(f"{words(change.name)} {change.new} instead of {change.old}" for change in mend.changes)
    return f"A way out: {mend.do}: {changes}; then {VERDICTS[mend.verdict].lower()}"


def _is_of_a_part(quantity: Quantity) -> bool:
    return quantity.origin is not None and not quantity.name.startswith("limits.")


def _used(quantity: Quantity) -> str:
    name = words(quantity.name.removeprefix("reference."))
    of = "the design's " if quantity.name.startswith("reference.") else ""
    source = f" ({quantity.source})" if quantity.source else ""
    follows = f", {quantity.worked_out}" if quantity.worked_out else ""
    return f"{of}{name}: {quantity.shown}, {quantity.standing}{source}{follows} [{_written(quantity.origin)}]"


def _written(origin: Written | Given | None) -> str:
    if isinstance(origin, Written):
        return f"{origin.file}, line {origin.line}"
    return f"the build, {origin.build}" if origin else ""


def _unknown(answer: Answer) -> Iterator[str]:
    if not answer.unknown:
        return
    yield "Not known yet"
    for unknown in answer.unknown:
        yield from wrapped(_named(unknown), "  ")
        yield from wrapped(unknown.measure, "    ")
        waiting = ", ".join(map(words, unknown.blocks)) or "nothing; no rule depends on it here"
        yield from wrapped(f"waits for it: {waiting}", "    ")
    yield ""


def _built(answer: Answer) -> Iterator[str]:
    left_open = {unknown.name for unknown in answer.unknown if unknown.name == unknown.slot}
    rows = [row for slot in answer.build.slots if slot.chosen for row in _slot(slot, left_open)]
    rows += [
        f"    {words(setting.name)}: {setting.shown}"
        for setting in answer.build.settings
        if isinstance(setting.origin, Given)
    ]
    yield (
        "Differs from the reference in"
        if rows
        else "Nothing differs from the reference in parts or settings."
    )
    yield from rows
    yield ""


def _slot(slot: SlotFilled, left_open: Collection[str]) -> Iterator[str]:
    part = "left open" if slot.slot in left_open else slot.part or "as given"
    yield f"    {words(slot.slot)}{_at(slot.at)}: {part}"
    for value in slot.worked_out:
        told = f"{words(value.name.partition('.')[2])} {value.shown}, {value.standing}: {value.worked_out}"
        yield from wrapped(told, "      ", "        ")


def _at(at: str) -> str:
    return "" if at == "all" else f", {at}"
