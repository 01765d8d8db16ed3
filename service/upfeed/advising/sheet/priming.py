"""Priming and first start of a bench sheet: where to turn, for how long, what to tick, what the gauge should read."""

from upfeed.advising.sheet.benchsheet import GaugePoint, Priming, Stop
from upfeed.advising.sheet.figures import Teller
from upfeed.advising.sheet.primingcups import NO_DRILL, NO_WARMTH, Cups
from upfeed.answering.answer import Answer, SolvedPoint
from upfeed.answering.evidence import Evidence
from upfeed.flow.parked import OIL_TEMPERATURE, PUMP_SPEED
from upfeed.flow.survey import Survey
from upfeed.knowledge.namedvalves import named_valves
from upfeed.knowledge.records import Plan

NO_STOPS = (
    "no stops are known: firing order, lobe centres or what opens the way are not all given; turn the crank a quarter"
    " turn at a time through two whole turns and look at every rocker"
)
NONE_REACHED = "no rocker is reached: as built, no oil comes up, wherever the crank stands"
NO_SPEED = "a cranking speed or the pump's drive is not given: turn slowly and watch the gauge"
NO_TIME = "not known how long oil takes: stop after half a minute without pressure and look for the reason"


def priming(survey: Survey, evidence: Evidence, answer: Answer, cups: Cups, tell: Teller) -> Priming:
    """How to prime with the engine parked."""
    plan = survey.build.family.plan
    stops = [
        Stop(stop.crank_deg, stop.turn_deg, _names(plan, stop.at), gauge)
        for stop, gauge in zip(answer.priming, cups.gauges(), strict=True)
    ]
    reached = {valve for stop in stops for valve in stop.valves}
    times = _times(survey, evidence)
    dry = evidence.latest("primed_share").build == 0.0 if survey.facts else False
    known = [time for time in times if time is not None]
    whole = len(known) == len(times) and bool(known)
    return Priming(
        stops=stops,
        lacks=None if stops else NONE_REACHED if dry else NO_STOPS,
        drill_speed=tell.number(
            "drill_speed", _setting(survey, PUMP_SPEED), "rotational_speed", "rpm", None, NO_DRILL
        ),
        oil_temperature=tell.number(
            "oil_temperature", _setting(survey, OIL_TEMPERATURE), "temperature", "C", None, NO_WARMTH
        ),
        pump_speed=tell.number("pump_speed", _pump_speed(survey), "rotational_speed", "rpm", None, NO_SPEED),
        seconds=tell.number(
            "seconds",
            known[0] if whole else None,
            "time",
            "s",
            (min(known), max(known)) if whole and len(known) > 1 else None,
            NONE_REACHED if dry else NO_TIME,
        ),
        never=[valve for valve in _names(plan, "all") if valve not in reached] if stops or dry else [],
    )


def gauge(answer: Answer, tell: Teller) -> list[GaugePoint]:
    """The pressure at every operating point."""
    told = []
    for point in answer.points:
        if isinstance(point, SolvedPoint):
            pressure = next(c for c in point.computed if c.name == f"gallery_pressure.{point.point}")
            told.append(
                GaugePoint(point.point, point.speed_rpm, point.oil_temperature_c, tell.fact(pressure))
            )
        else:
            name = f"gallery_pressure.{point.point}"
            lacking = tell.number(name, None, "pressure", "psi", None, f"not computed: {point.reason}")
            told.append(GaugePoint(point.point, None, None, lacking))
    return told


def _names(plan: Plan, at: str) -> list[str]:
    named = named_valves(plan, at)
    return [f"{cylinder} {role}" for cylinder, role in plan.valves if (cylinder, role) in named]


def _setting(survey: Survey, name: str) -> float | None:
    value = survey.build.settings.get(name)
    return value.magnitude if value and isinstance(value.magnitude, float) else None


def _cranked(survey: Survey) -> list[str]:
    return [point for point, values in survey.build.points.items() if "cranking_speed" in values]


def _times(survey: Survey, evidence: Evidence) -> list[float | None]:
    if survey.facts is None:
        return []
    times = (evidence.latest(f"first_oil_cranked.{point}").build for point in _cranked(survey))
    return [time if isinstance(time, float) else None for time in times]


def _pump_speed(survey: Survey) -> float | None:
    """rad/s, at the first point that has a cranking speed."""
    build, points = survey.build, _cranked(survey)
    pump = build.fitted.get("oil_pump", (None,))[0]
    drive = pump.has.get("drive_ratio") if pump else None
    crank = build.points[points[0]]["cranking_speed"].magnitude if points else None
    if drive is None or not isinstance(drive.magnitude, float) or not isinstance(crank, float):
        return None
    return crank * drive.magnitude
