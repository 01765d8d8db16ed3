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
def test_all_oil_over_the_pickup_is_there_in_the_covers_or_on_the_way(point):
    places = zip(
        of("oil_over_pickup", point), of("oil_held_up", point), of("oil_in_transit", point), strict=True
    )
    for over, held_up, in_transit in places:
        assert over * PAN["surface_area"] + held_up + in_transit == pytest.approx(PAN["reserve"], rel=1e-6)


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
    spare = PAN["reserve"] - of("oil_in_transit", "top_speed")[2]
    assert of("pickup_state", "top_speed")[2] == "bare"
    assert of("time_to_bare", "top_speed")[2] == pytest.approx(spare / (fed - capacity), rel=1e-3)


def test_a_pickup_that_stays_covered_has_no_time_to_be_bare():
    for point in WARM:
        assert of("pickup_state", point)[0] == "covered"
        assert of("time_to_bare", point)[0] is None


def test_small_covers_flood_and_leave_the_pickup_covered():
    small = facts_of(engine({**WORN, "cylinder_head.cover_volume": 0.5 * LITRE}), REFERENCE)
    assert of("cover_state", "top_speed", small)[0] == "flooded"
    assert of("oil_held_up", "top_speed", small)[0] == pytest.approx(2 * 0.5 * LITRE)
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
IN_THE_PAN = ("oil_in_transit", "oil_over_pickup", "pickup_state")
RETURN_FACTS = [VOCABULARY.facts[name] for name in (*WAY_DOWN, *IN_THE_PAN)]


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
