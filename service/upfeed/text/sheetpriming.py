"""The part of a bench sheet by which the parked engine is primed, as it is printed."""

from collections.abc import Iterator, Sequence

from upfeed.advising.sheet.benchsheet import BenchSheet, PrimedCup, Priming, Stop
from upfeed.text.paper import BOX, PAPER, alike, in_rows, on_paper, said, shown


def priming_steps(sheet: BenchSheet) -> Iterator[str]:
    """Where to turn the crank to, which rockers to tick there, and what gauge and cups show meanwhile."""
    yield "5  Prime with the engine parked, pump turned from outside"
    priming = sheet.priming
    yield from on_paper(_turned(priming), "   ")
    if priming.seconds.value is None:
        yield from on_paper(str(priming.seconds.lacks), "   ")
    else:
        time = priming.seconds.band_shown or priming.seconds.shown
        told = "oil to the last rocker from empty ways, pump turned as the starter would, warm to cold oil"
        yield from on_paper(f"{told}: about {time}", "   ")
    if priming.lacks:
        yield from on_paper(priming.lacks, "   ")
    elif lacking := sheet.valves[0].primed[0].caught.lacks:
        yield from on_paper(f"what a cup under a rocker should catch is not told: {lacking}", "   ")
    for number, stop in enumerate(priming.stops):
        yield from _stop(sheet, stop, number)
    if priming.never:
        yield from on_paper(f"not reached with the engine parked: {', '.join(priming.never)}", "   ")
    yield ""


def _turned(priming: Priming) -> str:
    starter = f"pump at {said(priming.pump_speed)}, as the starter would turn it"
    if priming.drill_speed.value is None or priming.oil_temperature.value is None:
        return starter
    held = f"pump at {priming.drill_speed.shown}, oil at {priming.oil_temperature.shown}"
    return f"{held}: gauge and cups below are for these ({starter})"


def _stop(sheet: BenchSheet, stop: Stop, number: int) -> Iterator[str]:
    """Where to turn to, and rockers to tick by what a cup under each of them catches."""
    on = f"{stop.turn_deg:g} deg on, at {stop.crank_deg:g} deg" if number else f"{stop.crank_deg:g} deg"
    reads = "" if stop.gauge.value is None else f", gauge at {shown(stop.gauge)}"
    yield from on_paper(
        f"crank {on} past cylinder 1 firing{reads}; tick each rocker where oil stands:", "   "
    )
    cups = {row.valve: row.primed[number].caught for row in sheet.valves}
    for valves in alike(stop.valves, lambda valve: said(cups[valve])):
        told = cups[valves[0]]
        if told.value is not None:
            seconds = sheet.valves[0].seconds
            yield from on_paper(f"{shown(told)} in a cup within {seconds:g} s, once oil stands:", "     ")
        yield from _boxes(valves)
    yield from _shut_off(sheet, number)


def _shut_off(sheet: BenchSheet, number: int) -> Iterator[str]:
    """Rockers that get nothing at a stop, by the stop that feeds them."""
    fed = {valve: stop.crank_deg for stop in sheet.priming.stops for valve in stop.valves}
    shut = {row.valve: row.primed[number] for row in sheet.valves if row.primed[number].caught.value == 0}
    valves = [valve for valve in shut if valve in fed]
    for valves_alike in alike(valves, lambda valve: (fed[valve], _beside_nothing(shut[valve]))):
        named, told = ", ".join(valves_alike), _beside_nothing(shut[valves_alike[0]])
        yield from on_paper(f"shut here, fed at {fed[valves_alike[0]]:g} deg: {named}{told}", "     ")


def _beside_nothing(cup: PrimedCup) -> str:
    """What a cup may hold all the same: past the band, or where sizes off by as much as they may be open the way."""
    if cup.caught.band and cup.caught.band[1] > 0:
        return f" ({cup.caught.band_shown} within what sizes may be off)"
    creeps = cup.creeps
    return f" ({shown(creeps)} creeps past the band)" if creeps and creeps.value else ""


def _boxes(valves: Sequence[str]) -> Iterator[str]:
    """As many beside one another as the longest name leaves room for."""
    width = max(map(len, valves)) + len(BOX) + 3
    for row in in_rows(valves, max(1, (PAPER - 6) // width)):
        yield "      " + "".join(f"{f'{BOX} {valve}':<{width}}" for valve in row).rstrip()
