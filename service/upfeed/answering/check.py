"""One check from end to end: a build's sheet in, the whole answer out."""

from collections.abc import Iterator

from msgspec.structs import replace

from upfeed.answering.afterdraws import notes_of_draws, told_by_draws
from upfeed.answering.answer import (
    FORMAT,
    Answer,
    BuildEcho,
    Computed,
    FailedPoint,
    HowSure,
    MeasureFirst,
    SlotFilled,
    SolvedPoint,
    UnknownPoint,
)
from upfeed.answering.cautions import CAUTIONS, LEFT_OUT, NOT_BOUNDED, NOT_JUDGED, SPREAD, sampled
from upfeed.answering.digests import digests
from upfeed.answering.evidence import Evidence
from upfeed.answering.findings import findings, raise_, rulings, unknowns
from upfeed.answering.hanging import hanging, measure_first
from upfeed.answering.ladders import ladders
from upfeed.answering.library import Library
from upfeed.answering.optional import not_given, open_over_optional, unmeasured
from upfeed.answering.primingstops import priming_stops
from upfeed.answering.sureness import sureness
from upfeed.flow.drawn import Drawn, drawn
from upfeed.flow.facts import Facts
from upfeed.flow.survey import Survey, survey
from upfeed.judging.message import System
from upfeed.judging.verdict import Untold, decide
from upfeed.knowledge.records import BuildSheet, Magnitude
from upfeed.knowledge.variants import valve_names
from upfeed.reading import units

_ENGINE_FACTS = (
    "gallery_pressure",
    "mains_pressure",
    "pump_pressure",
    "pump_delivery",
    "top_end_flow",
    "worst_valve_flow",
    "top_end_share",
)
_HOT = ("hot_preload", "plunger_travel_left", "required_pushrod_length")
_FROM_EMPTY = ("first_oil", "first_oil_cranked")
_RETURN_FACTS = (
    "drain_capacity",
    "cover_state",
    "cover_depth",
    "oil_held_up",
    "valley_state",
    "valley_flow",
    "valley_drain_capacity",
    "valley_depth",
    "oil_in_valley",
    "oil_in_transit",
    "oil_over_pickup",
    "pickup_state",
    "time_to_bare",
)
_PRELOAD = ("cold_preload", "preload_per_pushrod")
_TIMING = ("fed_share", "cut_off_lift", "rocker_open_share", "primed_share")


SAMPLES = 64
"""Draws that a face makes unless it is told otherwise."""

MOST_SAMPLES = 256
"""More tell nothing new: a share of draws is within some hundredths by then."""

UNDRAWN = HowSure(samples=0, verdict_holds_in=None, verdicts=[], near_misses=[], hangs_on=None)


def check(sheet: BuildSheet, library: Library, system: System = "shop", samples: int = 0) -> Answer:
    """Judge a build beside its family's reference, and again in as many draws of its values as there are samples.

    Raises DataFaults for a build that can't be.
    """
    surveyed = survey(sheet, library.knowledge, library.vocabulary, library.topologies)
    return answer_to(surveyed, drawn(surveyed, library.vocabulary, samples), library, system)


def answer_to(surveyed: Survey, draws: Drawn | None, library: Library, system: System) -> Answer:
    """The whole answer about a build that is computed already, and about its draws where any were made."""
    evidence = Evidence(surveyed, library.vocabulary, system, draws)
    ruled = rulings(surveyed, library.rulebook)
    optional = not_given(surveyed, ruled.unknown, library.vocabulary)
    untold = [
        Untold(ruling.judged.id, ruling.judged.rule.weighs)
        for ruling in ruled.unknown
        if ruling.judged.id not in optional
    ]
    decision = decide([raise_(ruling, surveyed) for ruling in ruled.fired], untold)
    found = findings(surveyed, ruled.fired, evidence, system)
    how_sure, first = UNDRAWN, list[MeasureFirst]()
    if draws:
        sure = sureness(
            surveyed,
            draws,
            library.rulebook,
            ruled,
            open_over_optional(surveyed.build, surveyed.reference, library),
        )
        hangs = hanging(sure.puts, draws)
        how_sure = sure.how_sure(decision.verdict, hangs)
        first = measure_first(hangs, draws, evidence, how_sure)
        found = [replace(finding, holds_in=sure.holds_in(finding.id)) for finding in found]
        told = told_by_draws(how_sure, first)
        found += notes_of_draws(surveyed, told, library.rulebook, library.vocabulary, system)
    return Answer(
        format=FORMAT,
        verdict=decision.verdict,
        decided_by=list(decision.decided_by),
        as_of=surveyed.build.sheet.as_of,
        digests=digests(library, surveyed.build.sheet),
        build=_echo(surveyed, evidence),
        findings=found,
        unknown=[*unknowns(surveyed, ruled.unknown), *unmeasured(optional)],
        points=[_point(surveyed, evidence, point) for point in surveyed.build.points],
        path=list(ladders(surveyed, draws)),
        timing=[evidence.told(name) for name in _TIMING] if surveyed.facts else [],
        preload=[evidence.told(name) for name in _PRELOAD] if surveyed.facts else [],
        priming=priming_stops(surveyed),
        how_sure=how_sure,
        measure_first=first,
        cautions=[
            *CAUTIONS,
            *LEFT_OUT,
            *([SPREAD] if draws else _sampling(surveyed)),
            *([NOT_JUDGED] if optional else []),
        ],
    )


def _sampling(surveyed: Survey) -> list[str]:
    if surveyed.corners.sampled:
        return [sampled(surveyed.corner_count)]
    return [] if surveyed.corners.bounding else [NOT_BOUNDED]


def _echo(surveyed: Survey, evidence: Evidence) -> BuildEcho:
    build = surveyed.build
    settings = [evidence.quantity(f"settings.{name}", 0) for name in build.settings]
    return BuildEcho(build.name or build.id, build.family.id, list(_slots(surveyed, evidence)), settings)


def _slots(surveyed: Survey, evidence: Evidence) -> Iterator[SlotFilled]:
    build = surveyed.build
    for slot, row in build.fitted.items():
        for key in dict.fromkeys(fitted.key if fitted else "" for fitted in row):
            places = [i for i, fitted in enumerate(row) if (fitted.key if fitted else "") == key]
            fitted = row[places[0]]
            at = "all" if len(places) == len(row) else valve_names(build, places)
            names = [name for name, value in fitted.has.items() if value.follows_from] if fitted else []
            yield SlotFilled(
                slot=slot,
                at=at,
                part=fitted.id or None if fitted else None,
                chosen=fitted.chosen if fitted else True,
                worked_out=[evidence.quantity(f"{slot}.{name}", places[0]) for name in names],
            )


def _point(surveyed: Survey, evidence: Evidence, point: str) -> SolvedPoint | UnknownPoint | FailedPoint:
    facts, values = surveyed.facts, surveyed.build.points[point]
    speed, warmth = values.get("speed"), values.get("oil_temperature")
    if facts is None:
        return UnknownPoint(point, _uncomputed(surveyed))
    if speed is None or warmth is None:
        return UnknownPoint(point, "speed and oil temperature are not both given")
    if not facts.solved(point):
        return FailedPoint(
            point, f"no balanced solution: {facts.residual(point):.3g} of the pump's top flow is left over"
        )
    return SolvedPoint(
        point=point,
        speed_rpm=_round_unit(speed.magnitude, "rpm"),
        oil_temperature_c=_round_unit(warmth.magnitude, "C"),
        computed=list(_at_point(surveyed, facts, evidence, point)),
    )


def _uncomputed(surveyed: Survey) -> str:
    if surveyed.build.open_slots:
        return f"left open: {', '.join(surveyed.build.open_slots)}"
    return f"not read off: {', '.join(surveyed.corners.tables)}"


def _round_unit(value: Magnitude, unit: str) -> float:
    assert isinstance(value, float)
    return round(units.to_unit(value, unit), 6)


def _at_point(surveyed: Survey, facts: Facts, evidence: Evidence, point: str) -> Iterator[Computed]:
    """First oil only where an engine is started; at other points nobody turns it from empty."""
    engines = (surveyed.build, surveyed.reference)
    consumers = (f"consumer_flow.{consumer}" for consumer in facts.consumers)
    started = any(engine.points[point].get("cranking_speed") for engine in engines)
    names = (*_ENGINE_FACTS, *consumers, *_HOT, *(_FROM_EMPTY if started else ()), *_RETURN_FACTS)
    yield from (evidence.told(f"{name}.{point}") for name in names)
