"""What parts do, computed side by side, is what a check of each by itself says."""

import pytest
from msgspec.structs import replace

from upfeed.advising.inplace.alone import alone
from upfeed.advising.inplace.effects import effects
from upfeed.answering.answer import SolvedPoint
from upfeed.answering.check import check

IDLE = "hot_idle"


def _said(library, family, part):
    """Verdict, rules and hot idle by a check; where corner cases differ there is no one number."""
    answer = check(alone(library, family, part), library)
    rules = {finding.rule for finding in answer.findings}
    if not isinstance(answer.points[0], SolvedPoint):
        return answer.verdict, rules, None, None, None
    idle = {computed.name: computed for computed in answer.points[0].computed}
    ratios = (idle[f"{name}.{IDLE}"].ratio for name in ("top_end_flow", "worst_valve_flow"))
    pressure = idle[f"gallery_pressure.{IDLE}"].build
    return answer.verdict, rules, *ratios, pressure if isinstance(pressure, float) else None


def _told(effect):
    return effect.verdict, set(effect.rules), effect.top_end, effect.worst_valve, effect.pressure


@pytest.mark.no_cover  # whole checks of many builds
@pytest.mark.parametrize(
    ("kind", "family"),
    [("lifter", "tarn-v8"), ("lifter", "orlebeck-five"), ("rocker", "dunmere-six"), ("pushrod", "tarn-v8")],
)
def test_every_part_of_a_kind_does_side_by_side_what_it_does_alone(library, kind, family):
    of, weights = library.knowledge.families[family], library.rulebook.rules
    parts = [part for part in library.knowledge.parts.values() if part.kind == kind]
    done = effects(library, of, parts)
    assert list(done) == [part.id for part in parts]
    for part in parts:
        assert _told(done[part.id]) == _said(library, of, part), part.id
        heaviness = [("stop", "caution", "note").index(weights[rule].weighs) for rule in done[part.id].rules]
        assert heaviness == sorted(heaviness)


def test_a_part_without_a_table_that_is_needed_cannot_be_told_and_spoils_no_other(library):
    of, known = library.knowledge.families["tarn-v8"], library.knowledge.parts["QC-212"]
    table = replace(known.has["base_circle_radius"], magnitude="table", written="table")
    has = {name: value for name, value in known.has.items() if "table" not in name} | {"lobes_from": table}
    bare = replace(known, id="QC-000", has=has)
    knowledge = replace(library.knowledge, parts=library.knowledge.parts | {bare.id: bare})
    done = effects(replace(library, knowledge=knowledge), of, (known, bare))
    assert done["QC-000"].verdict == "cannot_tell_yet"
    assert (done["QC-000"].top_end, done["QC-000"].worst_valve, done["QC-000"].pressure) == (None, None, None)
    assert done["QC-212"] == effects(library, of, (known,))["QC-212"]
