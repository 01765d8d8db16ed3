"""Restrictors on the way: smaller ones never feed more, wide ones cost no more than their ends."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tarn_v8 import KNOWLEDGE, REFERENCE, VOCABULARY, engine, facts_of, possible
from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.facts import Facts
from upfeed.flow.ladder import ladder
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.variants import variant

ORLEBECK = KNOWLEDGE.families["orlebeck-five"]
PLUGGED_HEAD = variant(reference_build(ORLEBECK, KNOWLEDGE, VOCABULARY))
PLACES = {
    "gallery": ("block", "gallery_restrictor", {"block.gallery_feed": "restricted"}, "gallery_feed_diameter"),
    "pushrod": ("pushrod", "restrictor", {"pushrod.drilled": "restricted"}, "bore"),
}


def restricted(place, diameter, length):
    slot, plug, fitted, _ = PLACES[place]
    return engine(fitted | {f"{slot}.{plug}_diameter": diameter, f"{slot}.{plug}_length": length})


def rockers(facts, variant=0):
    points = facts.circuit.engines.points
    return np.array([facts.column(f"top_end_flow.{point}")[variant] for point in points])


def pressure(facts, name="gallery", variant=0):
    return np.array([facts.column(f"{name}_pressure.{p}")[variant] for p in facts.circuit.engines.points])


@pytest.mark.parametrize("place", PLACES)
@given(data=st.data())
@settings(deadline=None, max_examples=15)
def test_a_smaller_restrictor_never_feeds_more(place, data):
    slot, plug, *_ = PLACES[place]
    sizes = st.floats(*possible(slot, f"{plug}_diameter"))
    small, large = sorted((data.draw(sizes), data.draw(sizes)))
    length = data.draw(st.floats(*possible(slot, f"{plug}_length")))
    facts = facts_of(restricted(place, small, length), restricted(place, large, length))
    assert (rockers(facts, 0) <= rockers(facts, 1) * (1 + 1e-7)).all()
    assert (pressure(facts, variant=0) >= pressure(facts, variant=1) * (1 - 1e-7)).all()


@pytest.mark.parametrize("place", PLACES)
def test_a_restrictor_as_wide_as_its_bore_costs_no_more_than_its_ends(place):
    slot, _, _, bore = PLACES[place]
    wide = REFERENCE.at(slot, 0)[bore]
    facts = facts_of(restricted(place, wide, 0.1e-3), REFERENCE)
    share = rockers(facts, 0) / rockers(facts, 1)
    assert (share <= 1).all()
    # In and out of a plate of that hole: 1.6 velocity heads and Sampson's 24/d³, far less than the notch behind it.
    assert (share > 0.99).all()


def test_a_plug_before_the_lifter_gallery_leaves_the_mains_their_oil():
    facts = facts_of(restricted("gallery", 1.2e-3, 3e-3), REFERENCE)
    assert (rockers(facts, 0) < 0.9 * rockers(facts, 1)).all()
    assert (pressure(facts, "mains", 0) >= pressure(facts, "mains", 1)).all()
    assert (pressure(facts, "mains", 0) == pressure(facts, variant=0)).all()


def test_the_lifters_get_what_the_plug_leaves_of_the_gauge():
    facts = facts_of(restricted("gallery", 1.2e-3, 3e-3), restricted("gallery", 2.4e-3, 3e-3), REFERENCE)
    for variant_ in range(3):
        fallen = sum(
            facts.column(f"share_of_drop.block.{passage}.cruise")[variant_] or 0.0
            for passage in ("gallery_restrictor", "gallery_feed")
        )
        left = facts.column("lifter_gallery_pressure.cruise")[variant_]
        assert left == pytest.approx(
            facts.column("gallery_pressure.cruise")[variant_] * (1 - fallen), rel=1e-6
        )
    tight, wide, none = facts.column("lifter_gallery_pressure.cruise")
    assert tight < wide < none


def test_a_family_whose_lifters_hang_on_no_gallery_has_no_pressure_in_it():
    build = reference_build(ORLEBECK, KNOWLEDGE, VOCABULARY)
    engines = Engines(ORLEBECK.plan, VOCABULARY, (PLUGGED_HEAD,), tuple(build.points))
    made = circuit(engines, topology(ORLEBECK.plan, VOCABULARY.kinds))
    facts = Facts(made, solve(made.network))
    assert facts.column("lifter_gallery_pressure.hot_idle") == (None,)


@pytest.mark.parametrize("place", PLACES)
def test_a_rung_tells_a_restrictor_where_one_engine_has_it(place):
    slot, plug, *_ = PLACES[place]
    fitted, without = (
        [(rung.slot, rung.passage) for rung in facts_of(*variants).rungs(0)]
        for variants in ((restricted(place, 1e-3, 3e-3), REFERENCE), (REFERENCE, REFERENCE))
    )
    assert (slot, plug) in fitted
    assert [rung for rung in fitted if rung != (slot, plug)] == without


def heads(*changes):
    """Facts of the Orlebeck Five with its head changed."""
    changed = (
        engine({f"cylinder_head.{name}": value for name, value in change.items()}, PLUGGED_HEAD)
        for change in changes
    )
    engines = Engines(ORLEBECK.plan, VOCABULARY, tuple(changed), tuple(ORLEBECK.points))
    made = circuit(engines, topology(ORLEBECK.plan, VOCABULARY.kinds))
    return Facts(made, solve(made.network))


@given(data=st.data())
@settings(deadline=None, max_examples=10)
def test_a_smaller_plug_in_the_head_never_feeds_more(data):
    sizes = st.floats(*possible("cylinder_head", "restrictor_diameter"))
    small, large = sorted((data.draw(sizes), data.draw(sizes)))
    length = data.draw(st.floats(*possible("cylinder_head", "restrictor_length")))
    facts = heads(*({"restrictor_diameter": d, "restrictor_length": length} for d in (small, large)))
    assert (rockers(facts, 0) <= rockers(facts, 1) * (1 + 1e-7)).all()
    assert (pressure(facts, variant=0) >= pressure(facts, variant=1) * (1 - 1e-7)).all()


def test_the_plug_in_the_head_drops_what_the_law_of_its_hole_says():
    # Sampson 1891 and Hagen-Poiseuille; zeta = 1.6 + 0.7 x²/(x² + 50) with x = 4/0.7, written out here.
    diameter, length = 0.7e-3, 4e-3
    facts = heads({"restrictor_diameter": diameter, "restrictor_length": length})
    circuit_, solution = facts.circuit, solve(facts.circuit.network)
    number = next(
        i for i, b in enumerate(circuit_.branches) if ("cylinder_head", "rocker_feed") in b.chain.steps
    )
    through = solution.flow[:, number]
    rung = next(r for r in ladder(circuit_, solution, 0) if r.passage == "rocker_feed")
    friction = (24 / diameter**3 + 128 * length / (np.pi * diameter**4)) * circuit_.network.mu
    inertia = (1.6 + 0.7 * 32.653 / 82.653) / (2 * (np.pi * diameter**2 / 4) ** 2) * circuit_.network.rho
    np.testing.assert_allclose(rung.drop[0], friction * through + inertia * through**2, rtol=1e-5)
