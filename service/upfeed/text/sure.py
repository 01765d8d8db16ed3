"""How sure an answer is, in the words of a workshop: how often it holds, within what bounds, what to measure first."""

from collections.abc import Callable, Iterator

from msgspec.structs import replace

from upfeed.answering.answer import Answer, Computed, Finding, HowSure, MeasureFirst, SolvedPoint
from upfeed.reading import units
from upfeed.text.prose import listed, words, wrapped

_BOUNDED = {"gallery_pressure": "gallery pressure", "worst_valve_flow": "the worst valve's oil"}


def how_sure(answer: Answer, one: Callable[[Computed, float], str]) -> Iterator[str]:
    """The whole section; nothing where nothing was drawn. `one` shows a number of a fact."""
    sure = answer.how_sure
    if sure.verdict_holds_in is None:
        return
    yield "How sure"
    yield from wrapped(_verdict(sure, sure.verdict_holds_in), "  ")
    yield from (line for text in _bounds(answer, one) for line in wrapped(text, "  "))
    for near in sure.near_misses:
        where = "" if near.at == "all" else f", {near.at}"
        told = f"Within the spread: {words(near.rule)}{where}, {near.weighs}, in {of_hundred(near.fires_in)}."
        yield from wrapped(told, "  ")
    yield from _first(answer)
    yield ""


def holds(finding: Finding) -> str | None:
    """In how many draws a finding stands, where it does not in all."""
    if finding.holds_in is None or finding.holds_in == 1:
        return None
    return f"Holds in {of_hundred(finding.holds_in)} draws of the values' stated spread."


def unbounded(answer: Answer) -> Answer:
    """The answer with its drawn bounds left out of the tables, which they would make unreadable."""
    if not answer.how_sure.samples:
        return answer
    points = [
        replace(point, computed=[replace(c, band=None) for c in point.computed])
        if isinstance(point, SolvedPoint)
        else point
        for point in answer.points
    ]
    path = [
        replace(
            rung,
            pressure=replace(rung.pressure, band=None),
            share_of_drop=replace(rung.share_of_drop, band=None),
        )
        for rung in answer.path
    ]
    return replace(
        answer,
        points=points,
        path=path,
        timing=[replace(c, band=None) for c in answer.timing],
        preload=[replace(c, band=None) for c in answer.preload],
    )


def _verdict(sure: HowSure, holds_in: float) -> str:
    if holds_in == 1:
        return f"The verdict stays in every one of {sure.samples} draws of the values' stated spread."
    others = [
        f"{words(other.verdict)} in {_hundredths(other.share)}"
        for other in sure.verdicts
        if other.share != holds_in
    ]
    else_ = f" Else it is {listed(others)}." if others else ""
    return f"In {of_hundred(holds_in)} draws of the values' stated spread the verdict stays.{else_}"


def of_hundred(share: float) -> str:
    """A share of draws, as 83 of 100."""
    return f"{_hundredths(share)} of 100"


def _hundredths(share: float) -> str:
    """None and all of them are said only where it is so."""
    return "0" if share == 0 else str(min(max(round(100 * share), 1), 99 if share < 1 else 100))


def _bounds(answer: Answer, one: Callable[[Computed, float], str]) -> Iterator[str]:
    idle = next((point for point in answer.points if isinstance(point, SolvedPoint)), None)
    told = [text for c in (idle.computed if idle else ()) for text in _bound(c, one)]
    if idle and told:
        yield f"At {words(idle.point)} nine of ten draws give {listed(told)}."


def _bound(computed: Computed, one: Callable[[Computed, float], str]) -> Iterator[str]:
    name = _BOUNDED.get(computed.name.partition(".")[0])
    if name is None or computed.band is None:
        return
    low, high = (one(computed, end) for end in computed.band)
    times = [units.show(end, "ratio", "", 2) for end in computed.ratio_band or ()]
    beside = f" ({times[0]} to {times[1]} times the design's)" if len(set(times)) > 1 else ""
    spread = low if low == high else f"{low.partition(' ')[0]} to {high}"
    yield f"{name} {spread}{beside}"


def _first(answer: Answer) -> Iterator[str]:
    if not answer.measure_first:
        return
    hangs = answer.how_sure.hangs_on
    of = words(hangs.rule or hangs.line) if hangs else ""
    yield from wrapped(f"Measure first, by the part each has in how far {of} may be off:", "  ")
    for value in answer.measure_first:
        yield from wrapped(_value(value), "    ")
        yield from wrapped(value.measure, "      ")


def _value(value: MeasureFirst) -> str:
    own = value.name.removeprefix("reference.")
    of = "the design's " if own != value.name else ""
    where = "" if value.at in ("all", own.partition(".")[0]) else f", {value.at}"
    decides = "; it decides the verdict" if value.decides else ""
    return f"{of}{words(own)}{where}: {value.shown}, {value.standing}; {round(100 * value.share)} %{decides}"
