"""How the pressure falls on its way to a rocker: the rungs add up, each by its own law."""

import itertools

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tarn_v8 import KNOWLEDGE, PLAN, POINTS, REFERENCE, VOCABULARY, engine, engine_at, part, wired
from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.ladder import ladder
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.variants import variant
from upfeed.physics.laws import bore
from upfeed.physics.resistance import flow

THOU = 25.4e-6
STEPS = [
    ("block", "gallery_feed"),
    ("lifter", "window"),
    ("lifter", "band_way"),
    ("lifter", "feed_hole"),
    ("lifter", "metering"),
    ("lifter", "cup_hole"),
    ("pushrod", "bore"),
    ("rocker", "oil_hole"),
]
SEVERAL = (
    REFERENCE,
    engine({"settings.preload": -60 * THOU}),
    engine({"lifter": "BW-131"}),
    engine({"lifter": "BW-204", "pushrod": "PR-12"}),
)


def climbed(*variants, valve=0):
    made = wired(*variants)
    solution = solve(made.network)
    pressure = solution.pressure[:, made.topology.nodes.index(made.topology.gauge)].reshape(made.shape)
    return made, solution, pressure, ladder(made, solution, valve)


def test_the_rungs_are_the_passages_from_the_pump_to_the_rocker():
    *_, rungs = climbed(REFERENCE)
    assert [(rung.slot, rung.passage) for rung in rungs] == STEPS


@pytest.mark.parametrize("valve", [0, 7])
def test_the_rungs_add_up_to_the_gallery_pressure(valve):
    _, _, pressure, rungs = climbed(*SEVERAL, valve=valve)
    assert_allclose(sum(rung.drop for rung in rungs), pressure, rtol=1e-9)
    assert all(rung.flows.all() for rung in rungs)


def test_each_rung_starts_where_the_one_before_it_ends():
    _, _, pressure, rungs = climbed(*SEVERAL)
    assert_allclose(rungs[0].ahead, pressure, rtol=1e-12)
    for below, above in itertools.pairwise(rungs):
        assert_allclose(above.ahead, below.ahead - below.drop, atol=1e-6)
        assert (below.drop >= 0).all()


def test_the_drop_over_the_gallery_feed_is_what_its_law_says():
    made, solution, _, rungs = climbed(REFERENCE)
    number = next(i for i, b in enumerate(made.branches) if STEPS[0] in b.chain.steps)
    law = bore(part("TN-1")["gallery_feed_diameter"], part("TN-1")["gallery_feed_length"])
    through = flow(rungs[0].drop.ravel(), law, made.network.mu, made.network.rho)
    assert_allclose(through, solution.flow[:, number], rtol=1e-6)


def test_a_steady_stretch_drops_by_the_flow_that_goes_up():
    # Whatever the turn does, over a hole that never moves a larger hole takes less, and the notch takes most.
    *_, wide = climbed(engine({"lifter.cup_hole": 3e-3}))
    *_, tight = climbed(engine({"lifter.cup_hole": 0.4e-3}))
    cup = STEPS.index(("lifter", "cup_hole"))
    assert (wide[cup].drop < 0.01 * tight[cup].drop).all()


def test_the_notch_holds_the_oil_back_in_the_reference():
    # What the demo's designer meant it for.
    _, _, pressure, rungs = climbed(REFERENCE)
    notch = rungs[STEPS.index(("lifter", "metering"))]
    assert (notch.drop > 0.8 * pressure).all()


@pytest.mark.parametrize("change", [{"lifter": "BW-121"}, {"pushrod": "PR-5"}, {"rocker": "HM-45"}])
def test_where_nothing_flows_no_rung_says_so(change):
    *_, rungs = climbed(engine(change), REFERENCE)
    up = rungs[1:]
    assert not any(rung.flows[0].any() for rung in up)
    assert all(rung.flows[1].all() for rung in up)
    for rung in rungs:
        assert np.isfinite(rung.drop).all()
        assert np.isfinite(rung.ahead).all()


def test_an_odd_valve_has_a_ladder_of_its_own():
    odd = engine_at(4, {"lifter.feed_hole": 0.5e-3})
    made = wired(odd)
    solution = solve(made.network)
    feed = STEPS.index(("lifter", "feed_hole"))
    own, other = (ladder(made, solution, valve)[feed] for valve in (4, 6))
    assert (own.drop > 5 * other.drop).all()


def test_of_two_ways_up_it_is_the_one_that_feeds_the_reference():
    # The six sends its oil through the head; its pushrods are solid and its lifters lead nowhere.
    family = KNOWLEDGE.families["dunmere-six"]
    engines = Engines(
        family.plan, VOCABULARY, (variant(reference_build(family, KNOWLEDGE, VOCABULARY)),), POINTS
    )
    made = circuit(engines, topology(family.plan, VOCABULARY.kinds))
    rungs = ladder(made, solve(made.network), len(family.plan.valves) - 1)
    slots = [rung.slot for rung in rungs]
    assert "rocker_shaft" in slots
    assert "pushrod" not in slots
    assert slots[-1] == "rocker"


def test_a_plan_with_no_way_to_the_rocker_has_no_rungs():
    joins = tuple(pair for pair in PLAN.joins if "rocker.cup" not in pair)
    cut = type(PLAN)(PLAN.cylinders, PLAN.roles, PLAN.slots, joins)
    made = circuit(Engines(cut, VOCABULARY, (REFERENCE,), POINTS), topology(cut, VOCABULARY.kinds))
    assert ladder(made, solve(made.network), 0) == ()
