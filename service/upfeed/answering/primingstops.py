"""How to prime a build with the engine parked, stop by stop."""

from upfeed.answering.answer import PrimingStop
from upfeed.flow.survey import Survey
from upfeed.knowledge.variants import valve_names


def priming_stops(survey: Survey) -> list[PrimingStop]:
    """The fewest stops that reach every rocker that can be reached.

    None where firing order or lobe centres are not known, or where what is not known would change the stops.
    """
    if survey.facts is None:
        return []
    chosen = set(survey.facts.priming.positions[: survey.corner_count])
    stops = chosen.pop() if len(chosen) == 1 else None
    before, told = 0, list[PrimingStop]()
    for crank, valves in stops or ():
        told.append(PrimingStop(float(crank), float(crank - before), valve_names(survey.build, valves)))
        before = crank
    return told
