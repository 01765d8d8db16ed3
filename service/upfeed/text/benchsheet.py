"""A bench sheet as it is printed: 80 columns, lines to write on, boxes to tick."""

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from upfeed.advising.sheet.benchsheet import (
    BenchSheet,
    Drains,
    GaugePoint,
    Number,
    PrimedCup,
    Priming,
    Sighted,
    Stop,
    Task,
    ValveRow,
)
from upfeed.text.prose import bulleted, listed, words, wrapped
from upfeed.text.say import VERDICTS

PAPER = 80
"""Characters a line: as printers and clipboards have them."""

_BECAUSE = {
    "unknown": "nobody has measured it",
    "spread": "the answer hangs on it",
    "path": "on the oil's way",
}
_SHARE = {"unknown": "", "spread": "of what the answer may be off", "path": "of the drop"}
_A_ROW = 7
"""Tasks beside one another in the table to fill in."""

_Item = TypeVar("_Item")

_BOX, _BLANK = "[ ]", "_______"


def bench_sheet(sheet: BenchSheet) -> str:
    """The whole sheet as text."""
    sections = (
        _head(sheet),
        _tasks(sheet),
        _to_fill_in(sheet),
        _assembly(sheet),
        _sighted(sheet),
        _preload(sheet),
        _priming(sheet),
        _first_start(sheet),
        _afterwards(sheet),
        bulleted("Cautions", sheet.cautions, PAPER),
        _sign(sheet),
    )
    return "\n".join(line for section in sections for line in section).rstrip() + "\n"


def _wrapped(text: str, margin: str = "", hanging: str | None = None) -> Iterator[str]:
    yield from wrapped(text, margin, hanging, PAPER)


def _head(sheet: BenchSheet) -> Iterator[str]:
    named = f"{sheet.name} (family {sheet.family})" if sheet.name else f"a build of the family {sheet.family}"
    yield from _wrapped(f"Bench sheet: {named}")
    settle = " Settle that before anything is put together." if sheet.verdict == "stop" else ""
    yield from _wrapped(
        f"The check says: {VERDICTS[sheet.verdict]}.{settle} Its reasons stand in `upfeed check`."
    )
    yield ""


def _tasks(sheet: BenchSheet) -> Iterator[str]:
    yield "1  Measure, in this order"
    if not sheet.tasks:
        yield from _wrapped("Nothing is asked for by what is known of this build.", "   ")
    for task in sheet.tasks:
        yield from _wrapped(_task(task), f"{task.number:>4}  ", "      ")
        yield from (line for text in _paragraphs(task) for line in _wrapped(text, "      "))
    for unknown in sheet.unknown:
        if unknown.name == unknown.slot:
            yield from _wrapped(f"{words(unknown.name)}: {unknown.measure}", "      ")
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
    for numbers in _in_rows(asked, _A_ROW):
        yield f"   {'valve':<18}" + "".join(f"{f'({number})':^8}" for number in numbers).rstrip()
        for row in sheet.valves:
            cells = (_BLANK if number in row.tasks else "   -   " for number in numbers)
            yield f"   {row.valve:<18}" + " ".join(cells).rstrip()
        yield ""
    once = [task for task in sheet.tasks if task.number not in asked]
    for task in once:
        yield f"   ({task.number}) {words(task.name)}".ljust(60, ".")[:60] + " " + _BLANK
    yield from [""] if once else []


def _assembly(sheet: BenchSheet) -> Iterator[str]:
    yield "2  Put together"
    if sheet.oil_path:
        way = ", ".join(map(words, sheet.oil_path))
        yield from _ticked(f"Holes line up and let air by, in the oil's order: {way}")
    least = min((r.holes_meet.value for r in sheet.valves if r.holes_meet.value is not None), default=None)
    if least:
        yield from _ticked(
            f"Rocker and pushrod holes meet for {100 * least:.3g} % of the turn at the least: blue a ball and look"
        )
    for drains in sheet.drains:
        yield from _ticked(_drains(drains))
    if any(row.sighted for row in sheet.valves):
        yield from _ticked("A marker line round the band of every lifter, for the sighting below")
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
    for rows in _alike(sheet.valves, lambda row: (row.sighted, row.sighted_lacks)):
        first = rows[0]
        yield from _wrapped(_valves(rows, sheet), "   ")
        if not first.sighted:
            yield from _wrapped(f"not computed: {first.sighted_lacks}", "      ")
        for sighted, name in zip(first.sighted, ("on the base circle", "at full lift"), strict=False):
            yield from _wrapped(f"{_BOX} {name}: {_band(sighted)}", "      ", "          ")
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
        yield from _wrapped(
            f"a turn of the adjuster ({how.pitch.shown} pitch) moves the cup {how.per_turn.shown}", "   "
        )
    elif how.per_turn.lacks:
        yield from _wrapped(f"turns: {how.per_turn.lacks}", "   ")
    if how.ten_thou_of_pushrod.value:
        yield from _wrapped(f"ten thou more of pushrod: {how.ten_thou_of_pushrod.shown} more preload", "   ")
    for rows in _alike(
        sheet.valves, lambda row: (row.cold_preload, row.turns, row.pushrod_needed, row.pushrod_fitted)
    ):
        yield from _wrapped(f"{_BOX} {_valves(rows, sheet)}: {_preload_of(rows[0])}", "   ", "       ")
    yield ""


def _preload_of(row: ValveRow) -> str:
    preload = row.cold_preload
    told = [f"cold {_shown(preload)}" if preload.value is not None else f"preload {preload.lacks}"]
    if row.turns.value is not None:
        way = "in from no play" if row.turns.value >= 0 else "back from no play"
        told.append(f"{row.turns.shown.lstrip('-')} turns {way}")
    if row.pushrod_fitted:
        told.append(f"pushrod {row.pushrod_fitted.shown}")
    if row.pushrod_needed.value is not None:
        told.append(f"by the heights it should be {row.pushrod_needed.shown}")
    return ", ".join(told)


def _priming(sheet: BenchSheet) -> Iterator[str]:
    yield "5  Prime with the engine parked, pump turned from outside"
    priming = sheet.priming
    yield from _wrapped(_turned(priming), "   ")
    if priming.seconds.value is None:
        yield from _wrapped(str(priming.seconds.lacks), "   ")
    else:
        time = priming.seconds.band_shown or priming.seconds.shown
        told = "oil to the last rocker from empty ways, pump turned as the starter would, warm to cold oil"
        yield from _wrapped(f"{told}: about {time}", "   ")
    if priming.lacks:
        yield from _wrapped(priming.lacks, "   ")
    elif lacking := sheet.valves[0].primed[0].caught.lacks:
        yield from _wrapped(f"what a cup under a rocker should catch is not told: {lacking}", "   ")
    for number, stop in enumerate(priming.stops):
        yield from _stop(sheet, stop, number)
    if priming.never:
        yield from _wrapped(f"not reached with the engine parked: {', '.join(priming.never)}", "   ")
    yield ""


def _turned(priming: Priming) -> str:
    starter = f"pump at {_said(priming.pump_speed)}, as the starter would turn it"
    if priming.drill_speed.value is None or priming.oil_temperature.value is None:
        return starter
    held = f"pump at {priming.drill_speed.shown}, oil at {priming.oil_temperature.shown}"
    return f"{held}: gauge and cups below are for these ({starter})"


def _stop(sheet: BenchSheet, stop: Stop, number: int) -> Iterator[str]:
    """Where to turn to, and rockers to tick by what a cup under each of them catches."""
    on = f"{stop.turn_deg:g} deg on, at {stop.crank_deg:g} deg" if number else f"{stop.crank_deg:g} deg"
    reads = "" if stop.gauge.value is None else f", gauge at {_shown(stop.gauge)}"
    yield from _wrapped(
        f"crank {on} past cylinder 1 firing{reads}; tick each rocker where oil stands:", "   "
    )
    cups = {row.valve: row.primed[number].caught for row in sheet.valves}
    for valves in _alike(stop.valves, lambda valve: _said(cups[valve])):
        told = cups[valves[0]]
        if told.value is not None:
            seconds = sheet.valves[0].seconds
            yield from _wrapped(f"{_shown(told)} in a cup within {seconds:g} s, once oil stands:", "     ")
        yield from _boxes(valves)
    yield from _shut_off(sheet, number)


def _shut_off(sheet: BenchSheet, number: int) -> Iterator[str]:
    """Rockers that get nothing at a stop, by the stop that feeds them."""
    fed = {valve: stop.crank_deg for stop in sheet.priming.stops for valve in stop.valves}
    shut = {row.valve: row.primed[number] for row in sheet.valves if row.primed[number].caught.value == 0}
    valves = [valve for valve in shut if valve in fed]
    for alike in _alike(valves, lambda valve: (fed[valve], _beside_nothing(shut[valve]))):
        named, told = ", ".join(alike), _beside_nothing(shut[alike[0]])
        yield from _wrapped(f"shut here, fed at {fed[alike[0]]:g} deg: {named}{told}", "     ")


def _beside_nothing(cup: PrimedCup) -> str:
    """What a cup may hold all the same: past the band, or where sizes off by as much as they may be open the way."""
    if cup.caught.band and cup.caught.band[1] > 0:
        return f" ({cup.caught.band_shown} within what sizes may be off)"
    creeps = cup.creeps
    return f" ({_shown(creeps)} creeps past the band)" if creeps and creeps.value else ""


def _boxes(valves: Sequence[str]) -> Iterator[str]:
    """As many beside one another as the longest name leaves room for."""
    width = max(map(len, valves)) + len(_BOX) + 3
    for row in _in_rows(valves, max(1, (PAPER - 6) // width)):
        yield "      " + "".join(f"{f'{_BOX} {valve}':<{width}}" for valve in row).rstrip()


def _first_start(sheet: BenchSheet) -> Iterator[str]:
    yield "6  First start, mechanical gauge at the main gallery"
    for point in sheet.gauge:
        yield from _wrapped(f"{_gauge(point)}  read: {_BLANK}", "   ", "      ")
    if sheet.valves:
        seconds = sheet.valves[0].seconds
        yield from _wrapped(f"cup under each rocker for {seconds:g} s, idling hot:", "   ")
    for rows in _alike(sheet.valves, lambda row: row.caught):
        yield from _wrapped(
            f"{_BOX} {_valves(rows, sheet)}: {_in_cup(rows[0].caught)}", "      ", "          "
        )
    yield from _wrapped(
        "one that catches much less or more than the others is looked at, whatever the figure", "   "
    )
    yield ""


def _in_cup(caught: Number) -> str:
    return "nothing, no oil comes up here" if caught.value == 0 else _said(caught)


def _gauge(point: GaugePoint) -> str:
    name = words(point.point)
    if point.speed_rpm is None or point.pressure.value is None:
        return f"{name}: {point.pressure.lacks}"
    held = f"{point.speed_rpm:g} rpm, oil {point.oil_temperature_c:g} C"
    return f"{name}, {held}: {_shown(point.pressure)}"


def _afterwards(sheet: BenchSheet) -> Iterator[str]:
    yield f"7  After {sheet.afterwards_minutes} minutes"
    for text in sheet.afterwards:
        yield from _ticked(text)
    yield ""


def _sign(sheet: BenchSheet) -> Iterator[str]:
    yield ""
    for line in sheet.sign:
        yield f"{line} ".ljust(76, "_")


def _in_rows(items: Sequence[_Item], each: int) -> Iterator[Sequence[_Item]]:
    yield from (items[i : i + each] for i in range(0, len(items), each))


def _ticked(text: str) -> Iterator[str]:
    yield from _wrapped(f"{_BOX} {text}", "   ", "       ")


def _shown(number: Number) -> str:
    """A number with its band where it has one."""
    if number.band_shown is None or number.band_shown.startswith(f"{number.shown} to "):
        return number.shown
    return f"{number.shown} ({number.band_shown})"


def _said(number: Number) -> str:
    return str(number.lacks) if number.value is None else _shown(number)


def _alike(items: Sequence[_Item], by: Callable[[_Item], object]) -> list[list[_Item]]:
    groups: list[list[_Item]] = []
    for item in items:
        group = next((g for g in groups if by(g[0]) == by(item)), None)
        if group is None:
            groups.append([item])
        else:
            group.append(item)
    return groups


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
