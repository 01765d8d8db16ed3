"""Facts as named columns: what goes in comes out, unknown is None, and words name the tightest place."""

import numpy as np
import pytest
from msgspec.structs import replace

from tarn_v8 import PLAN, POINTS, REFERENCE, VOCABULARY, engine, engine_at, facts_of, part, wired
from upfeed.flow.facts import Facts, column, rounded
from upfeed.flow.solve import solve
from upfeed.physics.holes import bore
from upfeed.physics.resistance import flow

THOU = 25.4e-6
VALVES = range(len(PLAN.valves))
THREE_INTAKE = PLAN.valves.index((3, "intake"))
SEVERAL = (
    engine({"settings.preload": -60 * THOU}),
    engine({"lifter": "BW-131"}),
    engine_at(THREE_INTAKE, {"lifter": "BW-133"}),
    engine({"oil": "MO-2050", "block.main_clearance": 4 * THOU}),
    REFERENCE,
)
FACTS = facts_of(*SEVERAL)


@pytest.mark.parametrize("point", POINTS)
def test_what_the_pump_delivers_leaves_by_the_consumers(point):
    delivered = FACTS.column(f"pump_delivery.{point}")
    taken = [FACTS.column(f"consumer_flow.{consumer}.{point}") for consumer in FACTS.consumers]
    # The residual is held to 1e-9 of the pump's top flow, 6.2e-4 m3/s.
    assert np.sum(taken, axis=0) == pytest.approx(np.array(delivered), rel=1e-6)


@pytest.mark.parametrize("point", POINTS)
def test_what_the_pump_moves_is_delivered_slips_back_or_goes_over_the_relief(point):
    pump, case = part("VS-135"), POINTS.index(point)
    mu = FACTS.circuit.network.mu.reshape(FACTS.circuit.shape)[:, case]
    pressure = np.array(FACTS.column(f"pump_pressure.{point}"))
    over = pump["relief_slope"] * np.maximum(pressure - pump["relief_opens"], 0.0)
    # No more than the air can push up the pickup: 16 mm, 180 mm, 60 kPa.
    drawn = flow(
        60e3, bore(0.016, 0.180), mu, FACTS.circuit.network.rho.reshape(FACTS.circuit.shape)[:, case]
    )
    moved = np.minimum(13.5e-6 * 0.5 * REFERENCE.points[point]["speed"] / (2 * np.pi), drawn)
    balance = np.array(FACTS.column(f"pump_delivery.{point}")) + pump["slip"] * pressure / mu + over
    assert balance == pytest.approx(moved, rel=1e-6)


@pytest.mark.parametrize("point", POINTS)
def test_the_top_end_is_all_valves_together(point):
    flows = np.array([FACTS.column(f"valve_flow.{point}", valve) for valve in VALVES])
    assert np.array(FACTS.column(f"top_end_flow.{point}")) == pytest.approx(flows.sum(axis=0), rel=1e-7)
    assert list(FACTS.column(f"worst_valve_flow.{point}")) == flows.min(axis=0).tolist()
    share = np.array(FACTS.column(f"top_end_flow.{point}")) / np.array(FACTS.column(f"pump_delivery.{point}"))
    assert np.array(FACTS.column(f"top_end_share.{point}")) == pytest.approx(share, rel=1e-7)


def test_an_odd_valve_shows_beside_the_others():
    beside = [FACTS.column("beside_others.hot_idle", valve)[2] for valve in VALVES]
    flows = [FACTS.column("valve_flow.hot_idle", valve)[2] for valve in VALVES]
    assert max(range(16), key=beside.__getitem__) == THREE_INTAKE
    assert beside == pytest.approx(np.array(flows) / np.median(flows), rel=1e-7)
    assert beside[THREE_INTAKE] > 1.5


def test_shares_of_the_drop_add_up_to_one():
    rungs = [f"{rung.slot}.{rung.passage}" for rung in FACTS.rungs(0)]
    for point in POINTS:
        shares = [FACTS.column(f"share_of_drop.{rung}.{point}") for rung in rungs]
        assert np.sum(shares, axis=0) == pytest.approx(np.ones(len(SEVERAL)), rel=1e-6)


def test_the_tightest_place_is_the_one_with_the_largest_share():
    rungs = [f"{rung.slot}.{rung.passage}" for rung in FACTS.rungs(0)]
    shares = np.array([FACTS.column(f"share_of_drop.{rung}.hot_idle") for rung in rungs])
    assert list(FACTS.column("tightest.hot_idle")) == [rungs[i] for i in shares.argmax(axis=0)]
    assert FACTS.column("tightest.hot_idle")[-1] == "lifter.metering"
    narrow = facts_of(engine({"rocker.oil_hole": 0.25e-3}))
    assert narrow.column("tightest.hot_idle") == ("rocker.oil_hole",)


def test_a_place_that_is_not_on_the_way_has_no_share():
    assert FACTS.column("share_of_drop.block.fixed_bleed.hot_idle") == (None,) * len(SEVERAL)


@pytest.mark.parametrize(
    ("change", "ways"),
    [
        ({"lifter": "BW-121"}, 0.0),
        ({"pushrod": "PR-5"}, 0.0),
        ({"rocker": "HM-45"}, 0.0),
        ({"lifter": "BW-140"}, 1.0),
    ],
)
def test_ways_up_follow_the_parts(change, ways):
    facts = facts_of(engine(change), engine_at(THREE_INTAKE, change), REFERENCE)
    assert facts.column("ways_up", THREE_INTAKE) == (ways, ways, 1.0)
    assert facts.column("ways_up", THREE_INTAKE + 1) == (ways, 1.0, 1.0)
    flow = facts.column("valve_flow.hot_idle", THREE_INTAKE)
    assert [f > 0 for f in flow] == [ways > 0, ways > 0, True]


def test_where_no_oil_goes_up_there_is_no_share_and_no_tightest_place():
    facts = facts_of(engine({"lifter": "BW-121"}), REFERENCE)
    assert facts.column("tightest.hot_idle")[0] is None
    assert facts.column("share_of_drop.lifter.metering.hot_idle")[0] is None
    assert facts.column("top_end_flow.hot_idle")[0] == 0.0
    assert facts.column("worst_valve_flow.hot_idle")[0] == 0.0
    # Beside the others there is nothing to be beside.
    assert facts.column("beside_others.hot_idle")[0] is None


def test_one_blind_lifter_is_the_worst_valve():
    facts = facts_of(engine_at(THREE_INTAKE, {"lifter": "BW-121"}), REFERENCE)
    assert facts.column("worst_valve_flow.hot_idle")[0] == 0.0
    assert facts.column("beside_others.hot_idle", THREE_INTAKE)[0] == 0.0
    assert facts.column("beside_others.hot_idle", 0)[0] == pytest.approx(1.0, abs=0.05)


def test_what_did_not_settle_is_unknown_in_its_variant_and_point_only():
    made = wired(REFERENCE, REFERENCE)
    solution = solve(made.network)
    settled = solution.converged.copy()
    settled[POINTS.index("cruise")] = False  # of the first variant
    facts = Facts(made, replace(solution, converged=settled))
    for name in (
        "gallery_pressure",
        "top_end_flow",
        "top_end_share",
        "valve_flow",
        "tightest",
        "beside_others",
    ):
        assert facts.column(f"{name}.cruise")[0] is None
        assert facts.column(f"{name}.cruise")[1] is not None
        assert facts.column(f"{name}.hot_idle")[0] is not None
    # Preload is no matter of the oil.
    assert facts.column("hot_preload.cruise")[0] is not None
    assert not facts.solved("cruise")
    assert facts.solved("hot_idle")


def test_every_fact_of_the_vocabulary_can_be_asked():
    for name, fact in VOCABULARY.facts.items():
        if fact.told_by != "flow":
            continue
        passage = {"passage": ".lifter.metering" if name == "share_of_drop" else ".block.fixed_bleed"}
        whole = name + passage.get(fact.scope, "")
        names = [f"{whole}.{point}" for point in POINTS] if fact.at == "point" else [whole]
        for one in names:
            found = FACTS.column(one, 1)
            assert len(found) == len(SEVERAL)
            assert {type(value) for value in found} <= {str if fact.text else float, type(None)}


def test_a_fact_nobody_knows_is_an_error():
    for name in ("gallery_presure.hot_idle", "gallery_pressure.warm", "ways_down"):
        with pytest.raises(KeyError):
            FACTS.column(name)


@pytest.mark.parametrize(
    ("value", "expected"),
    [(1 / 3, 0.33333333), (-2e-9 / 3, -6.6666667e-10), (0.0, 0.0), (123456789.0, 123456790.0)],
)
def test_eight_digits(value, expected):
    assert rounded(value) == expected


def test_a_column_has_no_number_where_it_is_not_known():
    assert column(np.array([1.0, np.pi]), np.array([False, True])) == (None, 3.1415927)


def test_residuals_are_within_what_is_promised():
    assert all(FACTS.solved(point) for point in POINTS)
    assert max(FACTS.residual(point) for point in POINTS) <= 1e-9
