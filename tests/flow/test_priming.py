"""Priming with the engine parked: worked by hand from firing order, lobe centres and where the band stands."""

import numpy as np
import pytest

from tarn_v8 import KNOWLEDGE, PLAN, REFERENCE, VOCABULARY, engine, engine_at, facts_of, wired
from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.plan import topology
from upfeed.flow.priming import POSITIONS, Priming
from upfeed.flow.valvetiming import nose_angle
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.variants import Variant, variant
from upfeed.physics.timing import lift_at, lobe

CARD = ("lift", "low_lift", "low_duration", "high_lift", "high_duration")


def priming(*variants):
    return Priming(wired(*variants))


def six(**changes):
    family = KNOWLEDGE.families["dunmere-six"]
    reference = variant(reference_build(family, KNOWLEDGE, VOCABULARY))
    blocks = tuple(
        {k: v for k, v in (b | changes).items() if v is not None} for b in reference.slots["block"]
    )
    engines = Engines(
        family.plan,
        VOCABULARY,
        (Variant({**reference.slots, "block": blocks}, reference.settings, reference.points),),
        tuple(family.points),
    )
    return Priming(circuit(engines, topology(family.plan, VOCABULARY.kinds)))


def test_lobes_stand_where_firing_order_and_cam_card_put_them():
    """By hand: 1 8 4 3 6 5 7 2 every 90 deg, so cylinder 4 fires at 180; intake 360 + 108 later, exhaust 360 - 112."""
    engines = wired(REFERENCE).engines
    for valve, expected in (
        ((1, "intake"), 468),
        ((4, "intake"), 648),
        ((4, "exhaust"), 428),
        ((2, "exhaust"), 878),
    ):
        angle, known = nose_angle(engines, PLAN.valves.index(valve))
        assert np.degrees(angle) == pytest.approx([expected])
        assert known.all()


def test_a_rocker_is_reached_where_its_band_stands_at_the_gallery():
    """The band leaves at the lift where its lower edge passes the gallery's upper one; straight from the cam card."""
    block, cam, lifter = (REFERENCE.at(slot, 0) for slot in ("block", "camshaft", "lifter"))
    leaves = (
        block["gallery_height"]
        + block["gallery_diameter"] / 2
        - cam["base_circle_radius"]
        - lifter["band_from"]
    )
    degrees = np.arange(POSITIONS)
    away = (degrees - 468 + 360) % 720 - 360  # crank from cylinder 1's intake at its highest
    lift = lift_at(np.radians(away / 2), lobe(*(cam[f"intake_{name}"] for name in CARD)))
    only = priming(REFERENCE).positions
    share, known = priming(REFERENCE).share(PLAN.valves.index((1, "intake")))
    assert known.all()
    assert share == pytest.approx([np.mean(lift < leaves)], abs=1.5 / POSITIONS)
    assert only[0] is not None


def test_the_stops_reach_every_rocker_and_at_none_a_lobe_holds_its_band_away():
    facts = facts_of(REFERENCE)
    (stops,) = facts.priming.positions
    assert sorted(valve for _, valves in stops for valve in valves) == list(range(16))
    for crank, valves in stops:
        for valve in valves:
            nose = np.degrees(nose_angle(facts.circuit.engines, valve)[0][0])
            # The band is away within some 40 deg of the nose (11 % of 720 deg, half to either side).
            assert abs((crank - nose + 360) % 720 - 360) > 36
    assert facts.column("priming_positions") == (float(len(stops)),)


def test_a_wide_gallery_takes_one_stop_and_a_shut_rocker_is_no_part_of_any():
    wide = engine({"block.gallery_diameter": 16e-3})
    assert priming(wide).count[0].tolist() == [1.0]
    odd = engine_at(4, {"lifter": "BW-121"}, wide)
    facts = facts_of(odd, wide)
    assert facts.column("primed_share", 4) == (0.0, 1.0)
    assert 4 not in {valve for _, valves in facts.priming.positions[0] for valve in valves}


def test_two_openings_that_never_meet_leave_a_rocker_unreached():
    """Band open below 5.8 mm of lift only; rocker hole swung in above that only: each opens, never both."""
    base = REFERENCE.at("rocker", 0)
    swing = REFERENCE.at("pushrod", 0)["ball_diameter"] / 2 / base["arm"]
    apart = (base["oil_hole"] + REFERENCE.at("pushrod", 0)["tip_hole"]) / 2
    never = engine({"rocker.rest_offset": -apart - 6.2e-3 * swing})
    facts = facts_of(never, REFERENCE)
    assert facts.column("ways_up")[0] == 1.0
    assert facts.column("rocker_open_share")[0] > 0
    assert facts.column("primed_share")[0] == 0.0


def test_without_lobe_centres_the_stops_are_unknown_and_the_share_is_not():
    cam = {k: v for k, v in REFERENCE.slots["camshaft"][0].items() if k != "intake_centre"}
    lacking = Variant({**REFERENCE.slots, "camshaft": (cam,)}, REFERENCE.settings, REFERENCE.points)
    facts = facts_of(lacking, REFERENCE)
    assert facts.column("priming_positions") == (None, facts.column("priming_positions")[1])
    assert facts.column("priming_positions")[1] is not None
    assert facts.column("primed_share") == (facts.column("primed_share")[1],) * 2


def test_a_journal_opens_the_six_for_its_share_of_the_turn_from_where_it_begins():
    """By hand: from 130 deg on for 0.30 of 720, that is to 346 deg; one stop half-way reaches all."""
    timed = six(head_feed_opens_at=np.radians(130.0), head_feed_open_share=0.30)
    share, known = timed.share(0)
    assert (share[0], known[0]) == (pytest.approx(0.30, abs=1.5 / POSITIONS), True)
    assert timed.positions[0] == ((237, tuple(range(12))),)


def test_a_journal_whose_phase_nobody_knows_still_opens_for_its_share():
    unknown = six(head_feed_opens_at=None)
    share, known = unknown.share(0)
    assert (share[0], known[0]) == (pytest.approx(0.30, abs=1.5 / POSITIONS), True)
    assert unknown.positions == (None,)
