"""Passages as stages of branches: which valves go together, and whose law is in force."""

import numpy as np
import pytest
from msgspec.structs import replace
from numpy.testing import assert_allclose, assert_array_equal

from tarn_v8 import (
    PLAN,
    POINTS,
    REFERENCE,
    TOPOLOGY,
    VOCABULARY,
    engine,
    engine_at,
    engines,
    even_angles,
    over_angles,
    part,
)
from upfeed.flow.branches import branches_of
from upfeed.flow.engines import Engines
from upfeed.physics.laws import bore, fit, groove, hole, notched_disc, window
from upfeed.physics.resistance import Resistance, flow, in_series

MM = 1e-3
THREE_INTAKE = PLAN.valves.index((3, "intake"))
DP, MU, RHO = 2e5, 0.0085, 830.0


def made_of(*variants):
    return branches_of(engines(*variants), TOPOLOGY)


def up_to(branches, valve):
    return next(b for b in branches if valve in b.valves and b.chain.head == "rocker_cover")


def stage(branch, passage):
    return next(s for s in branch.stages if s.way.passage == passage)


def of_engine(branches, passage):
    return next(b for b in branches if ("block", passage) in b.chain.steps)


def test_like_valves_share_a_branch():
    branches = made_of(REFERENCE)
    up = [b for b in branches if b.chain.head == "rocker_cover"]
    assert [b.valves for b in up] == [tuple(range(0, 16, 2)), tuple(range(1, 16, 2))]
    assert [b.count.tolist() for b in up] == [[8.0], [8.0]]


def test_an_odd_lifter_has_a_branch_of_its_own_in_every_variant():
    odd = engine_at(THREE_INTAKE, {"lifter.feed_hole": 1 * MM})
    branches = made_of(REFERENCE, odd)
    alone, others = up_to(branches, THREE_INTAKE), up_to(branches, 0)
    assert alone.valves == (THREE_INTAKE,)
    assert alone.count.tolist() == [1.0, 1.0]
    assert others.count.tolist() == [7.0, 7.0]
    feed, usual = (stage(b, "feed_hole").first.a for b in (alone, others))
    assert_array_equal(feed[0], usual[0])
    assert (feed[1] > usual[1]).all()


def test_every_leaf_of_the_plan_is_in_one_branch():
    for variants in ([REFERENCE], [engine_at(5, {"lifter": "BW-121"}), REFERENCE]):
        branches = made_of(*variants)
        for end in ("rocker_cover", "crankcase"):
            served = [v for b in branches if b.chain.head == end for v in b.valves]
            chains = [c for c in TOPOLOGY.chains if c.head == end and c.valve]
            assert len(served) == len(chains)


def test_passages_a_part_has_several_of_are_counted():
    branches = made_of(REFERENCE, engine({"block.main_count": 3.0}))
    assert of_engine(branches, "main_bearings").count.tolist() == [5.0, 3.0]
    assert of_engine(branches, "rod_bearings").count.tolist() == [8.0, 8.0]
    assert of_engine(branches, "gallery_restrictor").count.tolist() == [1.0, 1.0]


def test_stages_are_the_laws_of_the_parts():
    block, lifter, rod = part("TN-1"), part("BW-118"), part("PR-7")
    branches = made_of(REFERENCE)
    up = up_to(branches, 0)
    expected = {
        "feed_hole": hole(lifter["feed_hole"], lifter["wall"]),
        "cup_hole": hole(lifter["cup_hole"], 1.5 * MM),
        "bore": bore(rod["bore"], rod["length"]),
    }
    for passage, law in expected.items():
        found = stage(up, passage)
        assert_allclose((found.first.a.ravel()[0], found.first.b.ravel()[0]), law, rtol=1e-14)
    mains = of_engine(branches, "main_bearings").stages[0].first
    law = groove(
        block["main_journal"], block["main_clearance"], block["main_land"], 0.6, -np.pi / 2, np.pi / 2
    )
    assert float(mains.a.ravel()[0]) == pytest.approx(float(law.a), rel=1e-14)


def test_the_window_moves_with_the_foot():
    up = up_to(made_of(REFERENCE), 0)
    block, lifter = part("TN-1"), part("BW-118")
    law = window(
        up.turn.values["foot"],
        lifter["band_from"],
        lifter["band_to"],
        block["gallery_height"],
        block["gallery_diameter"],
        block["lifter_bore"],
        lifter["body_diameter"],
    )
    found = stage(up, "window").first
    assert_allclose(np.broadcast_to(found.a, law.a.shape), law.a, rtol=1e-14)
    # The band leaves the gallery in the upper part of the lift: the land then resists far more.
    assert law.a.max() > 20 * law.a.min()


def test_each_variant_has_the_law_of_its_own_choice():
    lifters = ["BW-118", "BW-131", "BW-121", "BW-140", "BW-118"]
    branches = made_of(*(engine({"lifter": name}) for name in lifters))
    metering = stage(up_to(branches, 0), "metering")
    disc, orifice, cup = part("BW-118"), part("BW-131"), part("BW-140")
    notch = notched_disc(
        disc["notch_area"], disc["seat_inner"], disc["seat_outer"], disc["disc_rise"], 1.0, 1.0
    )
    laws = [
        notch.first,
        hole(orifice["metering_orifice"], orifice["orifice_length"]),
        Resistance(np.array(np.inf), np.array(0.0)),
        fit(cup["cup_fit_bore"], cup["cup_fit_body"], cup["cup_fit_length"], 0.5),
        notch.first,
    ]
    for variant, law in enumerate(laws):
        assert_allclose(metering.first.a[variant], float(law.a), rtol=1e-14)
        assert_allclose(metering.first.b[variant], float(law.b), rtol=1e-14)
    # All are clamped here: beside the first way there is none.
    assert metering.second is not None
    assert np.isinf(metering.second.a).all()


def test_a_raised_disc_opens_beside_the_notch_on_the_base_circle_only():
    branches = made_of(engine({"settings.preload": -1 * MM}), REFERENCE)
    second = stage(up_to(branches, 1), "metering").second
    assert second is not None
    assert np.isfinite(second.a[0, :, 0]).all()
    assert np.isinf(second.a[0, :, 1:]).all()
    assert np.isinf(second.a[1]).all()


def test_a_lifter_without_a_disc_beside_one_with_one_asks_for_no_notch():
    # What a choice does not need is not given; it must reach no law that is in force.
    assert "notch_area" not in part("BW-131")
    both = made_of(engine({"lifter": "BW-131"}), REFERENCE)
    alone = made_of(engine({"lifter": "BW-131"}))
    found, expected = (stage(up_to(b, 0), "metering").first for b in (both, alone))
    assert_allclose(found.a[0].max(), expected.a[0].max(), rtol=1e-14)


def test_no_stage_holds_anything_but_numbers_and_no_way():
    names = ["BW-118", "BW-110", "BW-121", "BW-131", "BW-140", "BW-204"]
    variants = [engine({"lifter": name}) for name in names]
    variants += [engine({"rocker": "HM-45"}), engine({"pushrod": "PR-5"}), engine({"settings.preload": 0.0})]
    for branch in made_of(*variants):
        for one in branch.stages:
            for law in filter(None, (one.first, one.second)):
                assert not np.isnan(law.a).any()
                assert np.isfinite(law.b).all()
                assert (law.a >= 0).all()
        # Where nothing stands in the way of one passage, another in the row resists.
        assert (in_series(*(one.first for one in branch.stages)).a > 0).all()


def test_a_whole_chain_over_the_turn_is_the_one_written_out_by_angle():
    # The stages' mean over the weighted turn against 7200 single angles, before anything is squeezed.
    up = up_to(made_of(REFERENCE), 0)
    row = in_series(*(s.first for s in up.stages))
    found = float((up.turn.weight * flow(DP, row, MU, RHO)).sum(axis=2)[0, 0])
    single = over_angles(REFERENCE, "intake", even_angles(7200), DP, MU, RHO, 1.0)["rocker.oil_hole"]
    assert found == pytest.approx(single.mean(), rel=5e-4)


def test_what_a_valves_part_has_several_of_is_counted_there():
    # Rockers with as many oil holes as their `ratio` says, one of them with three.
    rocker = VOCABULARY.kinds["rocker"]
    holes = replace(rocker.passages["oil_hole"], count="ratio")
    counted = replace(rocker, passages=rocker.passages | {"oil_hole": holes})
    vocabulary = replace(VOCABULARY, kinds=VOCABULARY.kinds | {"rocker": counted})
    odd = engine_at(THREE_INTAKE, {"rocker.ratio": 3.0}, engine({"rocker.ratio": 2.0}))
    branches = branches_of(Engines(PLAN, vocabulary, (odd,), POINTS), TOPOLOGY)
    assert up_to(branches, 0).count.tolist() == [14.0]
    assert up_to(branches, THREE_INTAKE).count.tolist() == [3.0]
