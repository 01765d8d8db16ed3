"""One check from end to end: a build's sheet in, the whole answer out."""

from collections.abc import Iterator

from upfeed.answering.answer import (
    FORMAT,
    Answer,
    BuildEcho,
    Computed,
    FailedPoint,
    Rung,
    SlotFilled,
    SolvedPoint,
    UnknownPoint,
)
from upfeed.answering.cautions import CAUTIONS, LEFT_OUT, NOT_BOUNDED, sampled
from upfeed.answering.digests import digests
from upfeed.answering.evidence import Evidence, beside
from upfeed.answering.findings import findings, raise_, rulings, unknowns
from upfeed.answering.library import Library
from upfeed.flow.facts import Facts, column
from upfeed.flow.ladder import Rung as Step
from upfeed.flow.survey import Survey, survey
from upfeed.judging.message import System
from upfeed.judging.verdict import Untold, decide
from upfeed.judging.walks import alike
from upfeed.knowledge.records import BuildSheet
from upfeed.knowledge.variants import valve_names
from upfeed.reading import units

_ENGINE_FACTS = ("gallery_pressure", "pump_delivery", "top_end_flow", "worst_valve_flow", "top_end_share")
_TIMING = ("fed_share", "cut_off_lift", "rocker_open_share")


def check(sheet: BuildSheet, library: Library, system: System = "shop") -> Answer:
    """Judge a build beside its family's reference. Raises DataFaults for a build that can't be."""
    surveyed = survey(sheet, library.knowledge, library.vocabulary)
    evidence = Evidence(surveyed, library.vocabulary, system)
    ruled = rulings(surveyed, library.rulebook)
    untold = [Untold(ruling.judged.id, ruling.judged.rule.weighs) for ruling in ruled.unknown]
    decision = decide([raise_(ruling, surveyed) for ruling in ruled.fired], untold)
    return Answer(
        format=FORMAT,
        verdict=decision.verdict,
        decided_by=list(decision.decided_by),
        as_of=sheet.as_of,
        digests=digests(library, sheet),
        build=_echo(surveyed, evidence),
        findings=findings(surveyed, ruled.fired, evidence, system),
        unknown=unknowns(surveyed, ruled.unknown),
        points=[_point(surveyed, evidence, point) for point in surveyed.build.points],
        path=list(_path(surveyed)),
        timing=[evidence.least(name) for name in _TIMING] if surveyed.facts else [],
        cautions=[*CAUTIONS, *LEFT_OUT, *_sampling(surveyed)],
    )


def _sampling(surveyed: Survey) -> list[str]:
    if surveyed.corners.sampled:
        return [sampled(surveyed.corner_count)]
    return [] if surveyed.corners.bounding else [NOT_BOUNDED]


def _echo(surveyed: Survey, evidence: Evidence) -> BuildEcho:
    build = surveyed.build
    settings = [evidence.quantity(f"settings.{name}", 0) for name in build.settings]
    return BuildEcho(build.name or build.id, build.family.id, list(_slots(surveyed)), settings)


def _slots(surveyed: Survey) -> Iterator[SlotFilled]:
    build = surveyed.build
    for slot, row in build.fitted.items():
        for key in dict.fromkeys(fitted.key if fitted else "" for fitted in row):
            places = [i for i, fitted in enumerate(row) if (fitted.key if fitted else "") == key]
            fitted = row[places[0]]
            at = "all" if len(places) == len(row) else valve_names(build, places)
            yield SlotFilled(
                slot, at, fitted.id or None if fitted else None, fitted.chosen if fitted else True
            )


def _point(surveyed: Survey, evidence: Evidence, point: str) -> SolvedPoint | UnknownPoint | FailedPoint:
    facts, values = surveyed.facts, surveyed.build.points[point]
    speed, warmth = values.get("speed"), values.get("oil_temperature")
    if facts is None:
        return UnknownPoint(point, f"left open: {', '.join(surveyed.build.open_slots)}")
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
        computed=list(_at_point(facts, evidence, point)),
    )


def _round_unit(value: float | str, unit: str) -> float:
    assert isinstance(value, float)
    return round(units.to_unit(value, unit), 6)


def _at_point(facts: Facts, evidence: Evidence, point: str) -> Iterator[Computed]:
    consumers = (f"consumer_flow.{consumer}" for consumer in facts.consumers)
    for name in (*_ENGINE_FACTS, *consumers):
        yield evidence.fact(f"{name}.{point}")
    yield evidence.least(f"hot_preload.{point}")


def _path(surveyed: Survey) -> Iterator[Rung]:
    """The pressure ladder of each group of like valves at every point."""
    if surveyed.facts is None:
        return
    for valves in alike(surveyed):
        at = valve_names(surveyed.build, valves)
        for i, point in enumerate(surveyed.build.points):
            for step in surveyed.facts.rungs(valves[0]):
                yield _rung(surveyed.facts, step, at, point, i)


def _rung(facts: Facts, step: Step, at: str, point: str, index: int) -> Rung:
    ahead = column(step.ahead[:, index], facts.known(index) & step.reached[:, index])
    shares, known = facts.shares(step)
    share = column(shares[:, index], known[:, index])
    return Rung(
        place=f"{step.slot}.{step.passage}",
        at=at,
        point=point,
        pressure=beside(ahead[:-1], ahead[-1], compared=True),
        share_of_drop=beside(share[:-1], share[-1], compared=True),
    )
