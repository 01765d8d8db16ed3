"""How to prime a build with the engine parked, stop by stop."""

from upfeed.answering.answer import PrimingStop
from upfeed.flow.fewest import Chosen
from upfeed.flow.survey import Survey
from upfeed.knowledge.variants import valve_names


def priming_stops(survey: Survey) -> list[PrimingStop]:
    """The agreed stops, told."""
    before, told = 0, list[PrimingStop]()
    for crank, valves in agreed_stops(survey):
        told.append(PrimingStop(float(crank), float(crank - before), valve_names(survey.build, valves)))
        before = crank
    return told


def agreed_stops(survey: Survey) -> Chosen:
    """The fewest stops that reach every rocker that can be reached, each with the valves to look at there.

    None where firing order or lobe centres are not known, or where what is not known would change the stops.
    """
    if survey.facts is None:
        return ()
    chosen = set(survey.facts.priming.positions[: survey.corner_count])
    stops = chosen.pop() if len(chosen) == 1 else None
    return stops or ()
