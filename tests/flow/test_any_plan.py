"""Plans of any number of cylinders and valves, made from the demo V8's."""

import pytest
from msgspec.structs import replace

from tarn_v8 import FAMILY, KNOWLEDGE, VOCABULARY
from upfeed.flow.lobes import lobes_of
from upfeed.flow.survey import survey
from upfeed.judging.walks import sites

TWO = {"intake": "intake", "exhaust": "exhaust"}
THREE = {**TWO, "second intake": "intake"}
FOUR = {**THREE, "second exhaust": "exhaust"}


def surveyed(cylinders, valves, slots=None):
    """The demo family with other cylinders and valves, its build beside its reference."""
    lobes = {name: lobe for name, lobe in valves.items() if name != lobe}
    plan = replace(FAMILY.plan, cylinders=cylinders, roles=tuple(valves), lobes=lobes)
    family = replace(FAMILY, plan=plan)
    knowledge = replace(KNOWLEDGE, families={**KNOWLEDGE.families, FAMILY.id: family})
    sheet = replace(FAMILY.reference, slots=slots) if slots else family.reference
    return survey(sheet, knowledge, VOCABULARY)


def flows(facts):
    """Oil at every valve at hot idle, of the build."""
    valves = range(len(facts.circuit.engines.plan.valves))
    return [facts.column("valve_flow.hot_idle", valve)[0] for valve in valves]


@pytest.mark.parametrize("valves", [{"intake": "intake"}, TWO, THREE, FOUR], ids=len)
@pytest.mark.parametrize("cylinders", [1, 5, 12])
def test_every_valve_of_every_plan_is_fed_and_counted(cylinders, valves):
    facts = surveyed(cylinders, valves).facts
    each = flows(facts)
    assert len(each) == cylinders * len(valves)
    assert all(facts.solved(point) for point in facts.circuit.engines.points)
    assert [facts.column("ways_up", valve)[0] for valve in range(len(each))] == [1.0] * len(each)
    assert facts.column("top_end_flow.hot_idle")[0] == pytest.approx(sum(each), rel=1e-7)


def test_a_valve_is_moved_by_the_lobe_its_plan_names():
    facts = surveyed(2, FOUR).facts
    intake, exhaust, second, fourth = flows(facts)[:4]
    assert (second, fourth) == (intake, exhaust)
    assert intake != exhaust  # the demo's exhaust lobes lift higher and for longer
    lifts = [float(lobes_of(facts.circuit.engines, valve).lift()[0, 0, 0]) for valve in range(4)]
    has = KNOWLEDGE.parts["QC-212"].has
    wanted = [has[f"{lobe}_lift"].magnitude for lobe in FOUR.values()]
    assert lifts == wanted


def test_one_odd_lifter_among_many_valves_is_a_place_of_its_own():
    reference = FAMILY.reference.slots["lifter"][0]
    odd = replace(reference, at="12 second intake", part="BW-121")
    of = surveyed(12, THREE, {"lifter": (reference, odd)})
    walks = (("gallery", "lifter", "pushrod", "rocker"),)
    assert [(site.at, len(site.valves)) for site in sites(of, walks)] == [
        ("intake", 12),
        ("exhaust", 12),
        ("second intake except 12 second intake", 11),
        ("12 second intake", 1),
    ]
    assert sites(of, walks)[-1].id == "gallery-lifter-pushrod-rocker/12-second-intake"
    assert [of.facts.column("ways_up", valve)[0] for valve in (32, 33, 34, 35)] == [1.0, 1.0, 1.0, 0.0]


@pytest.mark.parametrize(
    ("family", "walks", "asked"),
    [
        ("tarn-v8", (("gallery", "rocker"), ("rocker",)), ("gallery", "rocker")),
        ("tarn-v8", (("gallery", "lifter"), ("gallery", "rocker")), ("gallery", "lifter")),
        ("tarn-v8", (("rocker", "lifter"),), None),
        ("tarn-v8", (("rocker", "pushrod", "lifter"),), None),
        ("dunmere-six", (("rocker_shaft", "rocker"),), ("rocker_shaft", "rocker")),
        (
            "wrenmoor-four",
            (("gallery", "rocker_pedestal", "rocker"),),
            ("gallery", "rocker_pedestal", "rocker"),
        ),
        ("orlebeck-five", (("gallery", "lifter"), ("pushrod", "lifter")), ("pushrod", "lifter")),
        ("orlebeck-five", (("camshaft", "lifter"),), ("camshaft", "lifter")),
        (
            "orlebeck-five",
            (("gallery", "lifter", "pushrod", "rocker"), ("gallery", "rocker")),
            ("gallery", "rocker"),
        ),
    ],
)
def test_a_rule_is_asked_along_its_first_stretch_that_oil_passes(family, walks, asked):
    of = survey(KNOWLEDGE.families[family].reference, KNOWLEDGE, VOCABULARY)
    assert {site.walk for site in sites(of, walks)} == ({asked} if asked else set())


def test_one_stretch_in_place_of_several_is_refused():
    of = survey(KNOWLEDGE.families["tarn-v8"].reference, KNOWLEDGE, VOCABULARY)
    with pytest.raises(TypeError, match="one stretch, gallery > lifter, where several"):
        sites(of, ("gallery", "lifter"))
