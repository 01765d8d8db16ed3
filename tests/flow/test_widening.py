"""How the top-end flow follows each passage's diameter, against engines solved anew with another diameter."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tarn_v8 import KNOWLEDGE, POINTS, REFERENCE, VOCABULARY, engine, wired
from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.facts import Facts
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.flow.widening import Widening
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.variants import variant

STEP = 1e-3
# A passage, the attribute that only its law reads, and the power of a diameter that it goes with.
WIDTHS = {
    "block.gallery_feed": ("block.gallery_feed_diameter", 1),
    "lifter.feed_hole": ("lifter.feed_hole", 1),
    "lifter.metering": ("lifter.notch_area", 2),
    "lifter.cup_hole": ("lifter.cup_hole", 1),
    "pushrod.bore": ("pushrod.bore", 1),
    "rocker.oil_hole": ("rocker.oil_hole", 1),
}
ODD = engine({"lifter.cup_hole": 0.7e-3, "pushrod.bore": 0.9e-3, "lifter.notch_area": 0.5e-6})


def top_end(*variants):
    """Oil to the rockers with every digit it has: [V, P]."""
    made = wired(*variants)
    up = [number for number, branch in enumerate(made.branches) if branch.chain.head == "rocker_cover"]
    flows = solve(made.network).flow[:, up] * made.network.count[:, up]
    return flows.sum(axis=1).reshape(made.shape)


def of_all_valves(made, passage):
    """The exponents of every group of valves that have the same parts, added up."""
    widening = Widening(made, solve(made.network))
    slot, name = passage.split(".")
    groups = set(made.engines.valve_classes().values())
    of_block = slot == "block"
    found = [widening.exponent(slot, name, valve) for valve in (sorted(groups)[:1] if of_block else groups)]
    assert all(known.all() for _, known in found)
    return sum(exponent for exponent, _ in found)


@pytest.mark.parametrize("passage", WIDTHS)
@pytest.mark.parametrize("of", [REFERENCE, ODD], ids=["reference", "odd"])
def test_engines_solved_anew_agree(passage, of):
    name, power = WIDTHS[passage]
    slot, attribute = name.split(".")
    size = of.at(slot, 0)[attribute]
    # Two central differences, the error of which goes with the square of the step.
    wide, narrow, wider, narrower = top_end(
        *(engine({name: size * (1 + sign) ** power}, of) for sign in (STEP, -STEP, 2 * STEP, -2 * STEP))
    )
    near, far = np.log(wide / narrow) / (2 * STEP), np.log(wider / narrower) / (4 * STEP)
    assert_allclose(of_all_valves(wired(of), passage)[0], (4 * near - far) / 3, rtol=1e-4, atol=1e-7)


def test_the_tightest_hole_counts_most_and_a_wide_one_hardly():
    made = wired(REFERENCE)
    notch, bore = (of_all_valves(made, passage) for passage in ("lifter.metering", "pushrod.bore"))
    # A notch alone in the way: flow with the cube of its diameter where viscous, with its square where inertial.
    assert (notch > 1).all()
    assert (notch < 3).all()
    assert (np.abs(bore) < notch / 10).all()


def test_several_engines_side_by_side_are_each_as_alone():
    together = Widening(made := wired(ODD, REFERENCE), solve(made.network)).exponent(
        "lifter", "feed_hole", 0
    )[0]
    for row, alone in enumerate((ODD, REFERENCE)):
        one = Widening(made := wired(alone), solve(made.network)).exponent("lifter", "feed_hole", 0)[0]
        assert_allclose(together[row], one[0], rtol=1e-8)


def test_no_diameter_no_oil_and_no_such_passage_have_none():
    made = wired(engine({"lifter": "BW-121"}), REFERENCE)
    widening = Widening(made, solve(made.network))
    for passage in ("window", "band_way", "never_heard_of"):
        assert not widening.exponent("lifter", passage, 0)[1].any()
    value, known = widening.exponent("pushrod", "bore", 0)
    assert known.tolist() == [[False] * len(POINTS), [True] * len(POINTS)]
    assert value[0].tolist() == [0.0] * len(POINTS)


@pytest.mark.parametrize("family", sorted(KNOWLEDGE.families))
def test_every_family_has_its_exponents(family):
    of = KNOWLEDGE.families[family]
    engines = Engines(
        of.plan, VOCABULARY, (variant(reference_build(of, KNOWLEDGE, VOCABULARY)),), tuple(of.points)
    )
    made = circuit(engines, topology(of.plan, VOCABULARY.kinds))
    solution = solve(made.network)
    widening, facts = Widening(made, solution), Facts(made, solution)
    found = [widening.exponent(rung.slot, rung.passage, 0) for rung in facts.rungs_on(0)]
    assert all(np.isfinite(exponent).all() for exponent, _ in found)
    assert any(known.all() for _, known in found)
