"""Oil on its way down: no drop is lost, what is not given is unknown, and it settles where the laws say."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tarn_v8 import POINTS, REFERENCE, VOCABULARY, engine, facts_of, part
from upfeed.knowledge.variants import Variant
from upfeed.physics.drains import drain_flow
from upfeed.physics.flooding import flooding_limit, gas_density

MM, LITRE, L_MIN = 1e-3, 1e-3, 1e-3 / 60
WORN = {"settings.preload": 0.0, "lifter": "BW-133", "points.blow_by": 90 * L_MIN}
SEVERAL = (
    REFERENCE,
    engine({"settings.preload": 0.0}),
    engine({**WORN, "gasket.drains_masked": 1.0}),
    REFERENCE,
)
FACTS = facts_of(*SEVERAL)
PAN, HEAD = part("TN-41"), part("TN-20")
WARM = POINTS[:3]


def of(name, point, facts=FACTS):
    return facts.column(f"{name}.{point}")


@pytest.mark.parametrize("point", POINTS)
def test_all_oil_over_the_pickup_is_there_in_the_covers_the_valley_or_on_the_way(point):
    names = ("oil_over_pickup", "oil_held_up", "oil_in_transit")
    for over, *elsewhere in zip(*(of(name, point) for name in names), strict=True):
        assert over * PAN["surface_area"] + sum(elsewhere) == pytest.approx(PAN["reserve"], rel=1e-6)


@pytest.mark.parametrize("point", POINTS)
def test_covers_that_drain_settle_where_the_drains_pass_what_is_fed(point):
    network = FACTS.circuit.network
    mu, rho = (x.reshape(FACTS.circuit.shape)[0, POINTS.index(point)] for x in (network.mu, network.rho))
    pressure = REFERENCE.points[point]["crankcase_pressure"]
    one = drain_flow(of("cover_depth", point)[0], 11 * MM, 20 * MM, pressure, mu, rho)
    assert of("cover_state", point)[0] == "draining"
    assert 2 * 3 * one == pytest.approx(of("top_end_flow", point)[0], rel=1e-6)


def test_drains_pass_what_the_gas_leaves_over():
    network = FACTS.circuit.network
    mu, rho = (x.reshape(FACTS.circuit.shape)[2, 2] for x in (network.mu, network.rho))
    gas = gas_density(REFERENCE.points["top_speed"]["oil_temperature"])
    each = flooding_limit(90 * L_MIN / 4, 11 * MM, mu, rho, gas)
    assert of("drain_capacity", "top_speed")[2] == pytest.approx(4 * each, rel=1e-6)
    assert of("cover_state", "top_speed")[2] == "flooded"


def test_a_flooded_cover_fills_by_what_does_not_run_down():
    # By hand: what is over the pickup and not on the way, over what comes up less what comes down.
    capacity, fed = of("drain_capacity", "top_speed")[2], of("top_end_flow", "top_speed")[2]
    spare = PAN["reserve"] - of("oil_in_transit", "top_speed")[2] - of("oil_in_valley", "top_speed")[2]
    assert of("pickup_state", "top_speed")[2] == "bare"
    assert of("time_to_bare", "top_speed")[2] == pytest.approx(spare / (fed - capacity), rel=1e-3)


def test_a_pickup_that_stays_covered_has_no_time_to_be_bare():
    for point in WARM:
        assert of("pickup_state", point)[0] == "covered"
        assert of("time_to_bare", point)[0] is None


def test_small_covers_flood_and_leave_the_pickup_covered():
    small = facts_of(engine({**WORN, "cylinder_head.cover_volume": 0.5 * LITRE}), REFERENCE)
    assert of("cover_state", "top_speed", small)[0] == "flooded"
    in_covers = of("oil_held_up", "top_speed", small)[0] - of("oil_in_valley", "top_speed", small)[0]
    assert in_covers == pytest.approx(2 * 0.5 * LITRE)
    assert of("pickup_state", "top_speed", small)[0] == "covered"


def test_no_drains_at_all_pass_nothing():
    shut = facts_of(engine({"gasket.drains_masked": 5.0}), REFERENCE)
    assert of("drain_capacity", "hot_idle", shut)[0] == 0.0
    assert of("cover_state", "hot_idle", shut)[0] == "flooded"
    full = 1.5 * LITRE / HEAD["floor_area"]
    depth = of("cover_depth", "hot_idle", shut)[0]
    assert depth < full
    assert of("pickup_state", "hot_idle", shut)[0] == "bare"


def without(name: str) -> Variant:
    slot, _, attribute = name.partition(".")
    if slot == "points":
        points = {
            p: {k: v for k, v in values.items() if k != attribute} for p, values in REFERENCE.points.items()
        }
        return Variant(REFERENCE.slots, REFERENCE.settings, points)
    known = {k: v for k, v in REFERENCE.at(slot, 0).items() if k != attribute}
    return Variant({**REFERENCE.slots, slot: (known,)}, REFERENCE.settings, REFERENCE.points)


WAY_DOWN = ("drain_capacity", "quiet_drain_capacity", "cover_state", "cover_depth", "oil_held_up")
VALLEY = ("valley_state", "valley_flow", "valley_drain_capacity", "valley_depth", "oil_in_valley")
IN_THE_PAN = ("oil_in_transit", "oil_over_pickup", "pickup_state")
RETURN_FACTS = [VOCABULARY.facts[name] for name in (*WAY_DOWN, *VALLEY, *IN_THE_PAN)]


@pytest.mark.parametrize("name", sorted({name for fact in RETURN_FACTS for name in fact.takes}))
def test_what_is_not_given_leaves_unknown_what_takes_it_and_nothing_else(name):
    facts = facts_of(without(name), REFERENCE)
    for fact in RETURN_FACTS:
        for point in POINTS:
            lacking, whole = of(fact.name, point, facts)
            assert (lacking is None) == (name in fact.takes)
            assert whole is not None
    for point in POINTS:
        assert of("top_end_flow", point, facts) == of("top_end_flow", point)[:1] * 2


FALLS, RISES = -1, 1
SIGN = {"rises": RISES, "falls": FALLS}
STATED = [(fact.name, name, SIGN[way]) for fact in RETURN_FACTS for name, way in fact.monotone.items()]
SIZES = {
    "cylinder_head.drain_count": st.integers(0, 8).map(float),
    "cylinder_head.drain_diameter": st.floats(4 * MM, 20 * MM),
    "gasket.drains_masked": st.integers(0, 3).map(float),
    "points.blow_by": st.floats(0.0, 150 * L_MIN),
    "points.crankcase_pressure": st.floats(-300.0, 600.0),
    "block.valley_drain_count": st.integers(0, 8).map(float),
    "block.valley_drain_diameter": st.floats(6 * MM, 25 * MM),
    "block.valley_rim": st.floats(2 * MM, 40 * MM),
    "oil_pan.reserve": st.floats(0.3 * LITRE, 4 * LITRE),
}


@pytest.mark.parametrize(("fact", "name", "sign"), STATED, ids=[f"{f} {n}" for f, n, _ in STATED])
@given(st.data())
@settings(max_examples=15)
def test_facts_rise_and_fall_as_the_vocabulary_says(fact, name, sign, data):
    ends = sorted((data.draw(SIZES[name]), data.draw(SIZES[name])))
    other = data.draw(st.sampled_from([n for n in SIZES if n != name]))
    size = data.draw(SIZES[other])
    engines = [engine({"settings.preload": 0.0, other: size, name: end}) for end in ends]
    facts = facts_of(*engines, REFERENCE, points=("top_speed",))
    low, high, _ = of(fact, "top_speed", facts)
    assert sign * (high - low) >= -1e-7 * max(abs(low), abs(high))


@given(st.floats(0.5, 0.99))
@settings(max_examples=15)
def test_a_pan_with_less_over_the_pickup_is_bare_no_later(share):
    worn = {**WORN, "gasket.drains_masked": 1.0}
    less = engine({**worn, "oil_pan.reserve": share * PAN["reserve"]})
    facts = facts_of(less, engine(worn), REFERENCE, points=("top_speed",))
    sooner, later, never = of("time_to_bare", "top_speed", facts)
    assert 0 < sooner < later
    assert math.isfinite(later)
    assert never is None


NO_VALLEY = engine({"block.valley": "none"})
SLUDGE = engine(
    {"settings.preload": 0.0, "block.valley_drain_count": 1.0, "block.valley_drain_diameter": 9 * MM}
)


@pytest.mark.parametrize("point", POINTS)
def test_an_engine_without_a_valley_has_none_to_fill_and_wants_nothing_of_it(point):
    bare = {k: v for k, v in NO_VALLEY.at("block", 0).items() if not k.startswith("valley_")}
    lacking = Variant({**NO_VALLEY.slots, "block": (bare,)}, NO_VALLEY.settings, NO_VALLEY.points)
    facts = facts_of(NO_VALLEY, lacking, REFERENCE)
    assert of("valley_state", point, facts)[:2] == ("none", "none")
    assert of("oil_in_valley", point, facts)[:2] == (0.0, 0.0)
    for name in ("valley_flow", "valley_drain_capacity", "valley_depth"):
        assert of(name, point, facts)[:2] == (None, None)
    for name in ("cover_depth", "oil_over_pickup", "pickup_state"):
        assert of(name, point, facts)[0] == of(name, point, facts)[1] is not None


@pytest.mark.parametrize("point", WARM)
def test_the_valley_settles_where_its_drains_pass_what_comes_down(point):
    network = FACTS.circuit.network
    mu, rho = (x.reshape(FACTS.circuit.shape)[0, POINTS.index(point)] for x in (network.mu, network.rho))
    pressure = REFERENCE.points[point]["crankcase_pressure"]
    one = drain_flow(of("valley_depth", point)[0], 18 * MM, 12 * MM, pressure, mu, rho)
    assert of("valley_state", point)[0] == "draining"
    assert 6 * one == pytest.approx(of("valley_flow", point)[0], rel=1e-6)
    lands = of("consumer_flow.lifter.land_above", point)[0]
    assert of("valley_flow", point)[0] == pytest.approx(of("top_end_flow", point)[0] + lands, rel=1e-6)


def test_a_valley_that_backs_up_fills_the_covers_by_what_it_does_not_pass():
    facts = facts_of(SLUDGE, REFERENCE)
    at = {
        name: of(name, "top_speed", facts)[0] for name in (*WAY_DOWN, *VALLEY, "top_end_flow", "time_to_bare")
    }
    assert (at["valley_state"], at["cover_state"]) == ("flooded", "draining")
    assert at["valley_depth"] == pytest.approx(22 * MM)
    # By hand: the covers lose what the valley passes beside what the lifters let by.
    loss = at["valley_drain_capacity"] - (at["valley_flow"] - at["top_end_flow"])
    spare = PAN["reserve"] - of("oil_in_transit", "top_speed", facts)[0] - at["oil_in_valley"]
    assert at["time_to_bare"] == pytest.approx(spare / (at["top_end_flow"] - loss), rel=1e-3)


@given(st.floats(0.0, 150 * L_MIN), st.floats(1.0, 3.0), st.integers(1, 6))
@settings(max_examples=15)
def test_more_gas_never_drains_better_and_more_drains_never_worse(gas, more, count):
    def over(blow_by, drains):
        return engine(
            {"settings.preload": 0.0, "points.blow_by": blow_by, "block.valley_drain_count": drains}
        )

    facts = facts_of(
        over(gas, count), over(gas * more, count), over(gas, count + 1.0), REFERENCE, points=("top_speed",)
    )
    least, gassier, wider, _ = of("oil_over_pickup", "top_speed", facts)
    assert gassier <= least * (1 + 1e-7) + 1e-12
    assert wider >= least * (1 - 1e-7)
