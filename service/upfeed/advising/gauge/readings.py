"""What gauge readings tell of a build, from end to end: texts in, the whole answer out."""

from collections.abc import Mapping, Sequence

import numpy as np

from upfeed.advising.gauge.causes import Causes
from upfeed.advising.gauge.gaugeerror import CLASS, GaugeError, gauge_error
from upfeed.advising.gauge.outcomes import found, reach
from upfeed.advising.gauge.readinganswer import (
    FORMAT,
    Explanation,
    GaugeTold,
    Outcome,
    ReadingsAnswer,
    ReadingTold,
)
from upfeed.advising.gauge.readingbench import bench
from upfeed.advising.gauge.readingtext import GaugeReading, read_readings
from upfeed.advising.gauge.sensitivities import sensitivities
from upfeed.answering.answer import Unknown
from upfeed.answering.cautions import CAUTIONS, LEFT_OUT
from upfeed.answering.digests import digests
from upfeed.answering.findings import measure
from upfeed.answering.library import Library
from upfeed.flow.facts import rounded
from upfeed.flow.gauges import GALLERY, ports_of
from upfeed.judging.message import System
from upfeed.knowledge.build import Build, resolve
from upfeed.knowledge.moves import Moves
from upfeed.knowledge.records import BuildSheet
from upfeed.knowledge.variants import corners
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.physics.resistance import Array
from upfeed.reading import units

READ = (
    "Temperatures of block, heads, pushrods and valves were not read: they are taken as at the most similar operating"
    " point of the build, warmer or colder by as much as the oil is.",
    "How far a value may be off: its stated tolerance, else what is usual for how it came to be known. Where no one"
    " value explains the readings, two are tried; what many small errors do together may look like one large one.",
)
"""What readings are compared with."""


def explain_readings(
    sheet: BuildSheet,
    library: Library,
    texts: Sequence[str],
    port: str = GALLERY,
    error: str | None = None,
    system: System = "shop",
) -> ReadingsAnswer:
    """Which uncertain values of a build explain gauge readings, as "650 rpm, 100 C, 14 psi".

    Readings that name no place are read at `port`; `error` says how far the gauge may be off. Raises DataFaults for a
    build that can't be, texts that are no readings, and points at which there is nothing to compare with.
    """
    build = resolve(sheet, library.knowledge, library.vocabulary)
    plan, kinds = build.family.plan, library.vocabulary.kinds
    ports = ports_of(library.topologies.of(build.family.id, plan, kinds))
    readings = read_readings(texts, port, ports, library.vocabulary)
    pressures = np.array([reading.pressure for reading in readings])
    lacking = _unknown(build, library.vocabulary)
    gauge = gauge_error(error, max(float(pressures.max()), _relief(build, library.vocabulary)))
    told = _told_gauge(gauge, error)
    if lacking:
        blank = [_reading(reading, gauge, None) for reading in readings]
        return _answer(sheet, library, build, (told, blank, lacking))
    on = bench(build, readings, library)
    moves = Moves(on.build, library.vocabulary)
    of = sensitivities(moves, on.solved)
    possible = reach(of, moves, on.solved)
    outcome = found(of, pressures, gauge.limits(pressures), moves, on.solved, possible)
    rows = _rows(readings, gauge, np.array([of.expected, of.torn, *possible, on.filter_drops()]))
    causes = Causes(moves, of, system)
    explanations = causes.explanations(outcome, pressures, on.solved)
    too_alike = [causes.name(rival) for rival in outcome.alone.rivals] if explanations else []
    return _answer(sheet, library, build, (told, rows, []), (outcome.outcome, explanations, too_alike))


def _unknown(build: Build, vocabulary: Vocabulary) -> list[Unknown]:
    """What has to be chosen or measured before anything can be expected."""
    if build.open_slots:
        said = "nothing to measure: choose a {}"
        return [Unknown(s, s, "all", [], said.format(s.replace("_", " "))) for s in build.open_slots]
    return [
        Unknown(m.name, m.slot, m.at, [], measure(m.attribute)) for m in corners(build, vocabulary).missing
    ]


def _relief(build: Build, vocabulary: Vocabulary) -> float:
    """The pressure that the relief lets up to, Pa, which the gauge has to stand; 0 where nobody knows."""
    for slot, row in build.fitted.items():
        source = vocabulary.kinds[build.family.plan.slots[slot].kind].source
        value = row[0].has.get(source.takes["relief_opens"]) if source and row[0] else None
        if value and isinstance(value.magnitude, float):
            return value.magnitude
    return 0.0


def _told_gauge(gauge: GaugeError, written: str | None) -> GaugeTold:
    if gauge.full_scale is None:
        return GaugeTold("written", None, None, written)
    return GaugeTold("class", round(100 * CLASS, 3), gauge.full_scale, None)


def _rows(readings: Sequence[GaugeReading], gauge: GaugeError, columns: Array) -> list[ReadingTold]:
    names = ("expected", "torn", "least", "most", "filter_drop")
    return [
        _reading(reading, gauge, dict(zip(names, row, strict=True)))
        for reading, row in zip(readings, columns.T.tolist(), strict=True)
    ]


def _reading(reading: GaugeReading, gauge: GaugeError, at: Mapping[str, float] | None) -> ReadingTold:
    limit = float(gauge.limits(np.array([reading.pressure]))[0])
    return ReadingTold(
        written=reading.written,
        port=reading.port,
        speed_rpm=round(units.to_unit(reading.speed, "rpm"), 6),
        oil_temperature_c=round(units.to_unit(reading.oil_temperature, "C"), 6),
        read=rounded(reading.pressure),
        expected=rounded(at["expected"]) if at else None,
        may_be_off=rounded(limit + (at["torn"] if at else 0.0)),
        least=_coarse(at["least"]) if at else None,
        most=_coarse(at["most"]) if at else None,
        filter_drop=rounded(at["filter_drop"]) if at else None,
    )


def _coarse(value: float) -> float:
    return float(f"{value:.3g}")


def _answer(
    sheet: BuildSheet,
    library: Library,
    build: Build,
    told: tuple[GaugeTold, list[ReadingTold], list[Unknown]],
    explained: tuple[Outcome, list[Explanation], list[str]] = ("unknown", [], []),
) -> ReadingsAnswer:
    gauge, readings, unknown = told
    outcome, explanations, too_alike = explained
    return ReadingsAnswer(
        format=FORMAT,
        outcome=outcome,
        digests=digests(library, sheet),
        build=build.name or build.id,
        family=build.family.id,
        gauge=gauge,
        readings=readings,
        explanations=explanations,
        too_alike=too_alike,
        unknown=unknown,
        cautions=[*CAUTIONS[:3], *READ, *LEFT_OUT[:2]],
    )
