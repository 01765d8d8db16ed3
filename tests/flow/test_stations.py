"""Valves along a gallery: what is tapped in a row, what passes the bodies, and what is left at the end."""

import itertools

import numpy as np
import pytest
from msgspec.structs import replace

from tarn_v8 import KNOWLEDGE, VOCABULARY, engine, part
from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.facts import Facts
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.variants import variant

FAMILY = KNOWLEDGE.families["wexcombe-four"]
PLAN = FAMILY.plan
TOPOLOGY = topology(PLAN, VOCABULARY.kinds)
REFERENCE = variant(reference_build(FAMILY, KNOWLEDGE, VOCABULARY))
ROW = PLAN.stations.rows[0]
FIRST, LAST = (PLAN.valves.index(ROW[place]) for place in (0, -1))
FULL = engine({"lifter": "BW-118"}, REFERENCE)


def facts_of(*variants, plan=PLAN):
    ways = topology(plan, VOCABULARY.kinds)
    made = circuit(Engines(plan, VOCABULARY, variants, tuple(FAMILY.points)), ways)
    return Facts(made, solve(made.network))


FACTS = facts_of(FULL, REFERENCE)


def valve_flows(facts, case, point="hot_idle"):
    return [facts.column(f"valve_flow.{point}", PLAN.valves.index(valve))[case] for valve in ROW]


def test_each_valve_stands_behind_those_before_it():
    for place, valve in enumerate(ROW):
        (path,) = TOPOLOGY.paths_to(valve)
        passed = [chain.valve for chain in path if ("lifter", "past_body") in chain.steps]
        assert passed == list(ROW[:place])


def test_the_mains_hang_behind_the_last():
    bearings = {c.tail for c in TOPOLOGY.chains if c.steps[0][1] in ("main_bearings", "rod_bearings")}
    (into,) = [c for c in TOPOLOGY.chains if c.head == "block.mains"]
    assert bearings == {"block.mains"} == {TOPOLOGY.read_at["mains"]}
    assert into.valve == ROW[-1]


@pytest.mark.parametrize("case", [0, 1], ids=["full", "waisted"])
def test_pressure_falls_along_the_row(case):
    # Intake and exhaust have lobes of their own, so that only valves of one role can be set beside each other.
    flows = valve_flows(FACTS, case)
    for role in PLAN.roles:
        own = [flow for flow, valve in zip(flows, ROW, strict=True) if valve[1] == role]
        assert all(near > far for near, far in itertools.pairwise(own))


def test_the_valve_that_oil_gets_to_last_speaks_for_all():
    everyone = tuple(range(len(PLAN.valves)))
    assert PLAN.last_fed(everyone) == LAST
    assert PLAN.last_fed((LAST, FIRST)) == LAST
    assert replace(PLAN, stations=None).last_fed(everyone) == 0


@pytest.mark.parametrize("valve", [FIRST, LAST])
def test_the_rungs_add_up_to_the_gallery_pressure_however_many_stations_they_gather(valve):
    rungs = FACTS.rungs(valve)
    names = [(rung.slot, rung.passage) for rung in rungs]
    assert len(names) == len(set(names))
    assert (("lifter", "past_body") in names) == (valve == LAST)
    drops = np.array([rung.drop for rung in rungs]).sum(axis=0)
    points = [FACTS.column(f"gallery_pressure.{point}") for point in FAMILY.points]
    assert drops == pytest.approx(np.array(points).T, rel=1e-6)


def test_full_bodies_cost_the_mains_pressure_that_the_gauge_does_not_show():
    # Common practice, no source: several psi where the mains are fed past the lifters, small for waisted bodies.
    psi = 6894.757
    gauge = np.array(FACTS.column("gallery_pressure.hot_idle")) / psi
    mains = np.array(FACTS.column("mains_pressure.hot_idle")) / psi
    full, waisted = gauge - mains
    assert full > 3
    assert waisted < 0.5
    assert gauge[0] > gauge[1]
    assert mains[0] < mains[1]


def test_a_gallery_without_length_that_clears_the_bodies_is_one_place():
    easy = engine({"block.gallery_offset": 0.05, "block.station_spacing": 1e-9}, REFERENCE)
    joins = (
        *PLAN.joins,
        ("block.lifter_gallery", "lifter.bore"),
        ("block.lifter_gallery", "block.mains"),
    )
    lumped = replace(PLAN, stations=None, joins=joins)
    one_place, along = facts_of(easy, plan=lumped), facts_of(easy)
    # Eight lengths of 20 mm of plain gallery are left: a quarter per cent of the drop at idle.
    for fact in ("gallery_pressure", "top_end_flow", "worst_valve_flow", "mains_pressure"):
        found, expected = (facts.column(f"{fact}.hot_idle")[0] for facts in (along, one_place))
        assert found == pytest.approx(expected, rel=5e-3)


def test_branches_of_one_make_share_their_laws():
    branches = FACTS.circuit.branches
    up = [branch for branch in branches if branch.chain.head == "rocker_cover"]
    assert len(up) == len(ROW)
    assert len({id(branch.stages) for branch in up}) == len(PLAN.roles)


def test_a_blocked_gallery_leaves_what_is_behind_it_without_oil():
    # Through the middle of the bores, and a band so high that it never meets the gallery: nothing passes.
    shut = engine(
        {
            "lifter": "BW-118",
            "block.gallery_offset": 0.0,
            "block.lifter_bore": part("BW-118")["body_diameter"],
        }
        | {"lifter.band_from": 0.045, "lifter.band_to": 0.047},
        REFERENCE,
    )
    facts = facts_of(shut, REFERENCE)
    assert facts.column("mains_pressure.hot_idle") == (
        None,
        pytest.approx(FACTS.column("mains_pressure.hot_idle")[1]),
    )
    assert facts.column("valve_flow.hot_idle", LAST)[0] == 0
