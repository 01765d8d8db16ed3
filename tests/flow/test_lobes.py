"""Lobes read off as tables: against the card they were read from, an integral over the angle, and one another."""

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator

from tarn_v8 import CARD, PLAN, REFERENCE, engine, engines, facts_of, part
from upfeed.flow.lobes import lobes_of
from upfeed.flow.turns import turn_of_valve
from upfeed.physics.timing import CAM_ANGLES, lift_at, lobe

INTAKE, EXHAUST = 0, 1
FACTS = (
    "fed_share",
    "cut_off_lift",
    "rocker_open_share",
    "top_end_flow.hot_idle",
    "worst_valve_flow.top_speed",
    "gallery_pressure.cold_start",
)


def read_off(cam, role, count=361, shift=0.0):
    """A table of readings from a card's lobe, angle by angle."""
    of = lobe(*(part(cam)[f"{role}_{name}"] for name in CARD))
    angles = np.linspace(-float(of.half_width), float(of.half_width), count)
    lifts = lift_at(angles, of)
    lifts[[0, -1]] = 0.0
    return tuple(zip((angles + shift).tolist(), lifts.tolist(), strict=True))


def tabled(cam="QC-212", of=REFERENCE, **how):
    tables = {f"camshaft.{role}_table": read_off(cam, role, **how) for role in ("intake", "exhaust")}
    return engine({"camshaft": cam, "camshaft.lobes_from": "table"} | tables, of)


@pytest.mark.parametrize("cam", ["QC-212", "QC-226"])
@pytest.mark.parametrize("lifter", ["BW-118", "BW-204"])
def test_a_table_read_from_a_cards_lobe_feeds_as_the_card(cam, lifter):
    card = engine({"camshaft": cam, "lifter": lifter})
    facts = facts_of(tabled(cam, card), card)
    for name in FACTS:
        read, designed = facts.column(name)
        assert read == pytest.approx(designed, rel=2e-4), name


def test_five_degrees_between_readings_cost_less_than_half_a_percent():
    card = engine({"camshaft": "QC-226"})
    facts = facts_of(tabled("QC-226", count=35), card)
    read, designed = facts.column("top_end_flow.hot_idle")
    assert read == pytest.approx(designed, rel=5e-3)


def test_both_ways_stand_side_by_side_in_one_row():
    hot, mild = engine({"camshaft": "QC-226"}), engine({"camshaft": "QC-212"})
    together = facts_of(hot, tabled("QC-212"), mild, tabled("QC-226"), hot)
    alone = [
        facts_of(one).column("top_end_flow.cruise")[0] for one in (hot, tabled(), mild, tabled("QC-226"), hot)
    ]
    assert together.column("top_end_flow.cruise") == pytest.approx(alone, rel=1e-7)
    assert len(set(alone)) == 4


def test_each_valve_turns_with_the_table_of_its_lobe():
    made = engines(tabled())
    for valve, (_, role) in enumerate(PLAN.valves):
        assert lobes_of(made, valve).lift().item() == pytest.approx(part("QC-212")[f"{role}_lift"], rel=1e-4)


def test_where_a_wheel_has_its_zero_makes_no_difference():
    here, there = facts_of(tabled()), facts_of(tabled(shift=np.radians(250)))
    for name in FACTS:
        assert there.column(name)[0] == pytest.approx(here.column(name)[0], rel=1e-3), name


@pytest.mark.parametrize("power", [1, 2, 5])
def test_unlike_flanks_have_the_means_of_the_librarys_curve(power):
    # Both flanks over the angle, through scipy's curve of Fritsch and Carlson; the demo's reground camshaft.
    table = np.array(part("PD-214")["intake_table"])
    heel = np.radians([[-3, 0], [-2, 0], [-1, 0]])
    curve = PchipInterpolator(*np.vstack([table[0] + heel, table, table[-1] - heel[::-1]]).T)
    ends = table[0, 0], table[-1, 0]
    whole, _ = quad(lambda at: float(curve(at)) ** power, *ends, points=table[1:-1, 0].tolist(), limit=400)
    turn = turn_of_valve(engines(engine({"camshaft": "PD-214"})), INTAKE)
    assert turn.weight.sum() == pytest.approx(1.0, rel=1e-12)
    assert (turn.weight * turn.values["lift"] ** power).sum() == pytest.approx(whole / (2 * np.pi), rel=2e-4)
    even = lobes_of(engines(engine({"camshaft": "PD-214"})), INTAKE).over_turn
    assert np.mean(even**power) == pytest.approx(whole / (2 * np.pi), rel=2e-4)


def test_at_even_angles_the_nose_is_in_the_middle_wherever_the_wheel_had_its_zero():
    table = read_off("QC-212", "exhaust", shift=np.radians(170))
    moved = engine(
        {"camshaft.lobes_from": "table", "camshaft.intake_table": table, "camshaft.exhaust_table": table}
    )
    lift = lobes_of(engines(moved), EXHAUST).over_turn[0, 0]
    of = lobe(*(part("QC-212")[f"exhaust_{name}"] for name in CARD))
    assert_allclose(lift, lift_at(CAM_ANGLES, of), atol=1e-6)
    assert lift[np.abs(CAM_ANGLES) > of.half_width].max() == 0.0


def test_priming_reaches_the_same_rockers_at_the_same_positions():
    facts = facts_of(tabled(), REFERENCE)
    read, designed = facts.priming.positions
    assert read == designed
    assert facts.column("primed_share")[0] == pytest.approx(facts.column("primed_share")[1], abs=2 / 720)


@pytest.mark.parametrize("valve", [INTAKE, EXHAUST])
def test_different_stands_put_back_are_the_whole_turn(valve):
    lobes = lobes_of(engines(REFERENCE, tabled("QC-226"), engine({"camshaft": "QC-226"})), valve)
    stands, at = lobes.stands
    assert_array_equal(stands[..., at], lobes.over_turn)
    assert len({column.tobytes() for column in stands[:, 0].T}) == stands.shape[2] < CAM_ANGLES.size / 2


def test_a_lobe_stands_at_any_angle_as_high_as_over_the_turn():
    """Cards and a table of its own side by side; an angle a whole turn on is the same."""
    lobes = lobes_of(engines(REFERENCE, tabled("QC-226", shift=1.0), engine({"camshaft": "QC-226"})), INTAKE)
    angles = np.broadcast_to(CAM_ANGLES[None, :, None], (3, CAM_ANGLES.size, 1))
    assert_allclose(lobes.lift_at(angles)[:, :, 0], lobes.over_turn[:, 0], atol=1e-12)
    assert_allclose(lobes.lift_at(angles + 4 * np.pi), lobes.lift_at(angles), atol=1e-12)
