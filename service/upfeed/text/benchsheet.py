"""A bench sheet as it is printed: 80 columns, lines to write on, boxes to tick."""

from collections.abc import Iterator, Sequence

from upfeed.advising.sheet.benchsheet import BenchSheet, Drains, GaugePoint, Number, Sighted, Task, ValveRow
from upfeed.text.paper import BLANK, BOX, PAPER, alike, in_rows, on_paper, said, shown, ticked
from upfeed.text.prose import bulleted, listed, words
from upfeed.text.say import VERDICTS
from upfeed.text.sheetpriming import priming_steps

_BECAUSE = {
    "unknown": "nobody has measured it",
    "spread": "the answer hangs on it",
    "path": "on the oil's way",
}
_SHARE = {"unknown": "", "spread": "of what the answer may be off", "path": "of the drop"}
_A_ROW = 7
"""Tasks beside one another in the table to fill in."""


def bench_sheet(sheet: BenchSheet) -> str:
    """The whole sheet as text."""
    sections = (
        _head(sheet),
        _tasks(sheet),
        _to_fill_in(sheet),
        _assembly(sheet),
        _sighted(sheet),
        _preload(sheet),
        priming_steps(sheet),
        _first_start(sheet),
        _afterwards(sheet),
        bulleted("Cautions", sheet.cautions, PAPER),
        _sign(sheet),
    )
    return "\n".join(line for section in sections for line in section).rstrip() + "\n"


def _head(sheet: BenchSheet) -> Iterator[str]:
    named = f"{sheet.name} (family {sheet.family})" if sheet.name else f"a build of the family {sheet.family}"
    yield from on_paper(f"Bench sheet: {named}")
    settle = " Settle that before anything is put together." if sheet.verdict == "stop" else ""
    yield from on_paper(
        f"The check says: {VERDICTS[sheet.verdict]}.{settle} Its reasons stand in `upfeed check`."
    )
    yield ""


def _tasks(sheet: BenchSheet) -> Iterator[str]:
    yield "1  Measure, in this order"
    if not sheet.tasks:
        yield from on_paper("Nothing is asked for by what is known of this build.", "   ")
    for task in sheet.tasks:
        yield from on_paper(_task(task), f"{task.number:>4}  ", "      ")
        yield from (line for text in _paragraphs(task) for line in on_paper(text, "      "))
    for unknown in sheet.unknown:
        if unknown.name == unknown.slot:
            yield from on_paper(f"{words(unknown.name)}: {unknown.measure}", "      ")
    yield ""


def _task(task: Task) -> str:
    where = "" if task.at == "all" else f", {words(task.at)}"
    because = (
        _BECAUSE[task.because] if task.share is None else f"{100 * task.share:.2g} % {_SHARE[task.because]}"
    )
    off = f" +- {task.plus_minus_shown}" if task.plus_minus_shown else ""
    known = (
        "not known"
        if task.expected.value is None
        else f"{task.expected.shown}{off}, {task.expected.standing}"
    )
    return f"{words(task.name)}{where}: {known} ({because})"


def _paragraphs(task: Task) -> Iterator[str]:
    for pair in task.pins:
        yield f"{pair.tool}, {pair.system}: {pair.go_shown} goes, {pair.no_go_shown} does not"
    if task.caught:
        yield f"bench flow: {task.caught.shown}"
    yield f"{task.definition}: {task.how} ({task.tool})"


def _to_fill_in(sheet: BenchSheet) -> Iterator[str]:
    """A line a valve, a column a task; then the tasks of the engine."""
    asked = sorted({number for row in sheet.valves for number in row.tasks})
    for numbers in in_rows(asked, _A_ROW):
        yield f"   {'valve':<18}" + "".join(f"{f'({number})':^8}" for number in numbers).rstrip()
        for row in sheet.valves:
            cells = (BLANK if number in row.tasks else "   -   " for number in numbers)
            yield f"   {row.valve:<18}" + " ".join(cells).rstrip()
        yield ""
    once = [task for task in sheet.tasks if task.number not in asked]
    for task in once:
        yield f"   ({task.number}) {words(task.name)}".ljust(60, ".")[:60] + " " + BLANK
    yield from [""] if once else []


def _assembly(sheet: BenchSheet) -> Iterator[str]:
    yield "2  Put together"
    if sheet.oil_path:
        way = ", ".join(map(words, sheet.oil_path))
        yield from ticked(f"Holes line up and let air by, in the oil's order: {way}")
    least = min((r.holes_meet.value for r in sheet.valves if r.holes_meet.value is not None), default=None)
    if least:
        yield from ticked(
            f"Rocker and pushrod holes meet for {100 * least:.3g} % of the turn at the least: blue a ball and look"
        )
    for drains in sheet.drains:
        yield from ticked(_drains(drains))
    if any(row.sighted for row in sheet.valves):
        yield from ticked("A marker line round the band of every lifter, for the sighting below")
    yield ""


def _drains(drains: Drains) -> str:
    count = drains.count.shown if drains.count.value is not None else f"number {drains.count.lacks}"
    told = f"Drains of {drains.where} clear, gasket on: {count}, "
    if drains.diameter.value is None:
        return f"{told}diameter {drains.diameter.lacks}"
    drills = " or ".join(pair.go_shown for pair in drains.pins)
    return f"{told}{drains.diameter.shown} each; a drill of {drills} drops through"


def _sighted(sheet: BenchSheet) -> Iterator[str]:
    """Valves with the same heights in one line: sixteen of them say nothing more."""
    yield "3  Sight the band through the gallery's hole, heights from the hole's middle"
    for rows in alike(sheet.valves, lambda row: (row.sighted, row.sighted_lacks)):
        first = rows[0]
        yield from on_paper(_valves(rows, sheet), "   ")
        if not first.sighted:
            yield from on_paper(f"not computed: {first.sighted_lacks}", "      ")
        for sighted, name in zip(first.sighted, ("on the base circle", "at full lift"), strict=False):
            yield from on_paper(f"{BOX} {name}: {_band(sighted)}", "      ", "          ")
    yield ""


def _band(sighted: Sighted) -> str:
    lifted = f" ({sighted.lift.shown})" if sighted.lift.value else ""
    edges = f"band from {sighted.lower_edge.shown} to {sighted.upper_edge.shown}"
    opened = f"{sighted.open_height.shown} of it open" if sighted.open_height.value else "shut off"
    return f"{edges}{lifted}, {opened}"


def _preload(sheet: BenchSheet) -> Iterator[str]:
    yield "4  Preload"
    how = sheet.adjuster
    if how.preload_from == "set" and how.per_turn.value is not None:
        yield from on_paper(
            f"a turn of the adjuster ({how.pitch.shown} pitch) moves the cup {how.per_turn.shown}", "   "
        )
    elif how.per_turn.lacks:
        yield from on_paper(f"turns: {how.per_turn.lacks}", "   ")
    if how.ten_thou_of_pushrod.value:
        yield from on_paper(f"ten thou more of pushrod: {how.ten_thou_of_pushrod.shown} more preload", "   ")
    for rows in alike(
        sheet.valves, lambda row: (row.cold_preload, row.turns, row.pushrod_needed, row.pushrod_fitted)
    ):
        yield from on_paper(f"{BOX} {_valves(rows, sheet)}: {_preload_of(rows[0])}", "   ", "       ")
    yield ""


def _preload_of(row: ValveRow) -> str:
    preload = row.cold_preload
    told = [f"cold {shown(preload)}" if preload.value is not None else f"preload {preload.lacks}"]
    if row.turns.value is not None:
        way = "in from no play" if row.turns.value >= 0 else "back from no play"
        told.append(f"{row.turns.shown.lstrip('-')} turns {way}")
    if row.pushrod_fitted:
        told.append(f"pushrod {row.pushrod_fitted.shown}")
    if row.pushrod_needed.value is not None:
        told.append(f"by the heights it should be {row.pushrod_needed.shown}")
    return ", ".join(told)


def _first_start(sheet: BenchSheet) -> Iterator[str]:
    yield "6  First start, mechanical gauge at the main gallery"
    for point in sheet.gauge:
        yield from on_paper(f"{_gauge(point)}  read: {BLANK}", "   ", "      ")
    if sheet.valves:
        seconds = sheet.valves[0].seconds
        yield from on_paper(f"cup under each rocker for {seconds:g} s, idling hot:", "   ")
    for rows in alike(sheet.valves, lambda row: row.caught):
        yield from on_paper(
            f"{BOX} {_valves(rows, sheet)}: {_in_cup(rows[0].caught)}", "      ", "          "
        )
    yield from on_paper(
        "one that catches much less or more than the others is looked at, whatever the figure", "   "
    )
    yield ""


def _in_cup(caught: Number) -> str:
    return "nothing, no oil comes up here" if caught.value == 0 else said(caught)


def _gauge(point: GaugePoint) -> str:
    name = words(point.point)
    if point.speed_rpm is None or point.pressure.value is None:
        return f"{name}: {point.pressure.lacks}"
    held = f"{point.speed_rpm:g} rpm, oil {point.oil_temperature_c:g} C"
    return f"{name}, {held}: {shown(point.pressure)}"


def _afterwards(sheet: BenchSheet) -> Iterator[str]:
    yield f"7  After {sheet.afterwards_minutes} minutes"
    for text in sheet.afterwards:
        yield from ticked(text)
    yield ""


def _sign(sheet: BenchSheet) -> Iterator[str]:
    yield ""
    for line in sheet.sign:
        yield f"{line} ".ljust(76, "_")


def _valves(rows: Sequence[ValveRow], sheet: BenchSheet) -> str:
    """All of them, all of a role, or one by one."""
    named, every = [row.valve for row in rows], [row.valve for row in sheet.valves]
    if len(named) == len(every):
        return "all valves"
    roles = dict.fromkeys(map(_role, named))
    whole = len(named) == sum(_role(valve) in roles for valve in every)
    return f"all {listed(roles)}" if whole else ", ".join(named)


def _role(valve: str) -> str:
    return valve.partition(" ")[2]
