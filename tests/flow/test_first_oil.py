"""First oil: beside the same filling integrated by scipy, by hand, and what can never make it sooner or later."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from tarn_v8 import PLAN, POINTS, REFERENCE, VOCABULARY, engine, engine_at, facts_of, possible

RPM = 2 * np.pi / 60
HOT, COLD = "first_oil_cranked.hot_idle", "first_oil_cranked.cold_start"
SPACES = {
    "lifter.inner_volume": 0.8e-6,
    "block.lifter_gallery_volume": 60e-6,
    "oil_pump.filter_volume": 200e-6,
    "points.cranking_speed": 200 * RPM,
}
EMPTY = engine(dict.fromkeys(SPACES, 0.0) | {"points.cranking_speed": 200 * RPM})
THREE_INTAKE = PLAN.valves.index((3, "intake"))


def cranked(*changes, fact=HOT, valve=0):
    return facts_of(*(engine(change, EMPTY) for change in changes)).column(fact, valve)


# Holes so wide that they hold nothing back: the pushrod then ends in the open.
OPEN_TIP = {
    "rocker.oil_hole": 0.5,
    "rocker.hole_depth": 0.0,
    "pushrod.tip_hole": 0.5,
    "rocker.rest_offset": 0.0,
}


@pytest.mark.parametrize("point", ["hot_idle", "cold_start"])
@pytest.mark.parametrize("bore", [1.5e-3, 3.175e-3])
def test_a_pushrod_fills_as_engines_with_shorter_ones_feed_it(point, bore):
    """With the front half-way up, oil flows as in an engine whose pushrods end there: dt = dV / Q, by scipy's quad.

    Nothing else is empty but the feed of the lifter gallery, whose bore is made to hold next to nothing.
    """
    base = engine({"block.gallery_feed_length": 1e-6, "pushrod.bore": bore}, EMPTY)
    length = REFERENCE.at("pushrod", 0)["length"]

    def fed(share):
        short = engine({"pushrod.length": share * length, **OPEN_TIP}, base)
        slow = engine({"points.speed": 200 * RPM}, short)
        return facts_of(slow, points=(point,)).column(f"valve_flow.{point}", 0)[0]

    volume = np.pi / 4 * bore**2 * length
    expected, _ = quad(lambda share: volume / fed(share), 0, 1, epsrel=1e-6)
    feed = (
        np.pi / 4 * REFERENCE.at("block", 0)["gallery_feed_diameter"] ** 2 * 1e-6
    )  # all of the pump's oil goes there
    expected += feed / (13.5e-6 * 0.5 * 200 / 60)
    found = facts_of(base).column(f"first_oil_cranked.{point}", 0)[0]
    # The spread of lobes, squeezed into weighted states, is within 0.3 % of single angles.
    assert found == pytest.approx(expected, rel=3e-3)


def test_what_the_pump_fills_first_takes_its_whole_displacement():
    """By hand: 13.5 mL a turn of a pump at half crank speed, 200 rpm: 22.5 mL/s, so 225 mL take 10 s."""
    without, with_filter = cranked({}, {"oil_pump.filter_volume": 225e-6})
    assert with_filter - without == pytest.approx(10.0, rel=1e-6)


def test_a_space_behind_a_hole_fills_at_what_the_hole_passes_into_the_open():
    """By hand: twice the space takes twice the time, whatever stands beyond it."""
    none, once, twice = cranked({}, {"lifter.inner_volume": 1e-6}, {"lifter.inner_volume": 2e-6})
    assert twice - once == pytest.approx(once - none, rel=1e-6)
    assert once > none
    small, narrow = (
        cranked({"rocker.oil_hole": size}, {"rocker.oil_hole": size, "lifter.inner_volume": 1e-6})
        for size in (3e-4, 1e-3)
    )
    assert small[1] - small[0] == pytest.approx(narrow[1] - narrow[0], rel=1e-6)


def test_a_running_pump_brings_it_sooner_than_the_starter_and_thin_oil_sooner_than_thick():
    facts = facts_of(engine(SPACES, EMPTY))
    hot = facts.column("first_oil.hot_idle", 0)[0], facts.column(HOT, 0)[0]
    cold = facts.column("first_oil.cold_start", 0)[0], facts.column(COLD, 0)[0]
    assert hot[0] < hot[1]
    assert cold[0] < cold[1]
    assert hot[0] < cold[0]


def test_where_no_oil_comes_or_the_starter_is_not_known_it_is_unknown():
    facts = facts_of(
        engine({"lifter": "BW-121"}, EMPTY), engine_at(THREE_INTAKE, {"lifter": "BW-121"}, EMPTY), EMPTY
    )
    assert facts.column(HOT, THREE_INTAKE)[:2] == (None, None)
    assert facts.column(HOT, 0)[0] is None
    assert facts.column(HOT, 0)[1] == pytest.approx(facts.column(HOT, 0)[2], rel=0.1)
    assert facts.column("first_oil.hot_idle", 0)[0] is None
    unknown = {
        point: {k: v for k, v in has.items() if k != "cranking_speed"} for point, has in EMPTY.points.items()
    }
    lacking = facts_of(type(EMPTY)(EMPTY.slots, EMPTY.settings, unknown), EMPTY)
    assert lacking.column(HOT, 0)[0] is None
    assert lacking.column(HOT, 0)[1] is not None
    # Where the starter's speed is not known nobody starts the engine, running or not.
    assert lacking.column("first_oil.hot_idle", 0)[0] is None


@pytest.mark.parametrize("room", [0.0, 3e-6])
def test_one_lifter_with_other_room_inside_differs_alone_and_as_if_all_were_so(room):
    usual, change = engine(SPACES, EMPTY), {"lifter.inner_volume": room}
    facts = facts_of(engine_at(THREE_INTAKE, change, usual), engine(change, usual), usual)
    odd, all_so, none_so = facts.column(HOT, THREE_INTAKE)
    assert odd == pytest.approx(all_so, rel=1e-6)
    assert (odd > none_so) == (room > SPACES["lifter.inner_volume"])
    assert facts.column(HOT, 0)[0] == pytest.approx(none_so, rel=1e-6)


HOLES = ("lifter.feed_hole", "lifter.notch_area", "lifter.cup_hole", "rocker.oil_hole", "pushrod.tip_hole")


def _between(name):
    slot, _, attribute = name.partition(".")
    low, high = VOCABULARY.kinds[slot].attributes[attribute].usual
    return st.floats(low, high)


@given(name=st.sampled_from(HOLES), data=st.data())
@settings(max_examples=25)
def test_a_larger_hole_in_every_position_never_delays_first_oil(name, data):
    sizes = sorted(data.draw(st.tuples(_between(name), _between(name))))
    facts = facts_of(*(engine(SPACES | {name: size}, EMPTY) for size in sizes))
    for point in POINTS:
        for fact in ("first_oil", "first_oil_cranked"):
            narrow, wide = facts.column(f"{fact}.{point}", 0)
            assert wide <= narrow * (1 + 1e-7)


VOLUMES = ("lifter.inner_volume", "block.lifter_gallery_volume", "oil_pump.filter_volume", "pushrod.length")


@given(name=st.sampled_from(VOLUMES), data=st.data())
@settings(max_examples=25)
def test_a_larger_empty_space_never_hastens_first_oil(name, data):
    low, high = possible(*name.split("."))
    drawn = st.floats(low, high) if name != "pushrod.length" else _between(name)
    sizes = sorted(data.draw(st.tuples(drawn, drawn)))
    facts = facts_of(*(engine(SPACES | {name: size}, EMPTY) for size in sizes))
    for point in POINTS:
        small, large = facts.column(f"first_oil_cranked.{point}", 0)
        assert small <= large * (1 + 1e-7)


def test_a_starter_too_slow_to_outrun_the_pickup_gets_the_pumps_whole_displacement():
    """By hand: a pickup that can pass more than 22.5 mL/s holds back only the running engine; 225 mL take 10 s."""
    narrow = engine({"oil_pan.pickup_diameter": 12e-3, "oil_pan.pickup_length": 0.3}, EMPTY)
    without, with_filter = (
        facts_of(engine(change, narrow)) for change in ({}, {"oil_pump.filter_volume": 225e-6})
    )
    network = without.circuit.network
    running = network.inflow[list(POINTS).index("cold_start")]
    assert 22.5e-6 < running < 13.5e-6 * 0.5 * REFERENCE.points["cold_start"]["speed"] / (2 * np.pi)
    later = with_filter.column(COLD, 0)[0] - without.column(COLD, 0)[0]
    assert later == pytest.approx(10.0, rel=1e-6)
