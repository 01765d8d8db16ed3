"""What heights, materials and pushrods make of preload, in whole engines."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tarn_v8 import POINTS, REFERENCE, engine, engines, facts_of
from upfeed.flow.preload import (
    cold_preload,
    plunger_travel_left,
    preload_left,
    preload_per_pushrod,
    required_pushrod_length,
)

THOU, INCH = 25.4e-6, 25.4e-3
INTAKE, EXHAUST = 0, 1
IDLE = POINTS.index("hot_idle")
FIXED = engine({"settings.preload_from": "heights"})

# In the stack's direction: what more of each does to preload.
ADDS = (
    "camshaft.base_circle_radius",
    "lifter.cup_height",
    "pushrod.length",
    "rocker.cup_drop",
    "cylinder_head.intake_stem_proud",
)
TAKES = ("block.deck_height", "gasket.thickness", "cylinder_head.pivot_height")


def height(name):
    slot, _, attribute = name.partition(".")
    return REFERENCE.at(slot, INTAKE)[attribute]


def cold(variant, valve=INTAKE):
    return float(cold_preload(engines(variant), valve)[0][0])


def test_the_demo_parts_stack_up_to_their_preload_by_hand():
    # 550 lobe + 1800 cup + 7800 pushrod + 200 drop - (6000 deck + 40 gasket + 4285 pivot) = 25 thou, as it is set
    assert cold(FIXED) == pytest.approx(25 * THOU, abs=1e-9)
    assert cold(REFERENCE) == 25 * THOU


@pytest.mark.parametrize("name", [*ADDS, *TAKES])
@settings(max_examples=15, deadline=None)
@given(more=st.floats(0, 150))
def test_more_of_a_height_only_adds_or_only_takes(name, more):
    changed = engine({name: height(name) + more * THOU}, FIXED)
    for valve in (INTAKE, EXHAUST):
        before, after = (preload_left(engines(v), valve)[0] for v in (FIXED, changed))
        gained = (after - before) if name in ADDS else (before - after)
        assert (gained >= -1e-12).all()


@pytest.mark.parametrize("name", [*ADDS, *TAKES])
def test_heights_do_nothing_to_a_preload_that_is_set(name):
    assert cold(engine({name: height(name) + 40 * THOU})) == 25 * THOU


def test_a_stem_stands_proud_at_its_own_valves_only():
    # Seats cut until the exhaust stems stand 30 thou proud: 30 / 1.5 = 20 thou at the cup.
    cut = engine({"cylinder_head.exhaust_stem_proud": 30 * THOU}, FIXED)
    assert cold(cut, EXHAUST) == pytest.approx(45 * THOU, abs=1e-9)
    assert cold(cut, INTAKE) == pytest.approx(25 * THOU, abs=1e-9)


def test_the_hotter_exhaust_valve_leaves_more_preload():
    left = [preload_left(engines(REFERENCE), valve)[0] for valve in (INTAKE, EXHAUST)]
    hot = [i for i, point in enumerate(POINTS) if point != "cold_start"]
    assert (left[EXHAUST][hot] > left[INTAKE][hot]).all()


@settings(max_examples=15, deadline=None)
@given(rod=st.floats(-60, 120), gasket=st.floats(-20, 60))
def test_preload_set_to_what_the_heights_give_answers_alike(rod, gasket):
    changes = {
        "pushrod.length": height("pushrod.length") + rod * THOU,
        "gasket.thickness": height("gasket.thickness") + gasket * THOU,
    }
    fixed = engine(changes, FIXED)
    as_set = engine({**changes, "settings.preload": cold(fixed)})
    facts = facts_of(fixed, as_set, REFERENCE)
    for name in ("cold_preload", "hot_preload", "plunger_travel_left", "gallery_pressure", "valve_flow"):
        for full in [name] if name == "cold_preload" else [f"{name}.{point}" for point in POINTS]:
            fixed_gives, set_gives, _ = facts.column(full, INTAKE)
            assert fixed_gives == pytest.approx(set_gives, rel=1e-7, abs=1e-12)
            if "preload" not in name and "travel" not in name:
                assert fixed_gives == set_gives


def test_plunger_travel_left_by_hand():
    # 150 thou of travel; cold 25 thou, which grow by what is worked out for the hot preload.
    left, known = plunger_travel_left(engines(REFERENCE), INTAKE)
    assert known.all()
    assert left[0] == pytest.approx(150 * THOU - preload_left(engines(REFERENCE), INTAKE)[0], abs=1e-12)
    loose, _ = plunger_travel_left(engines(engine({"settings.preload": -60 * THOU})), INTAKE)
    assert loose[0] == pytest.approx([150 * THOU] * len(POINTS), abs=1e-12)


def test_a_solid_lifter_has_no_travel():
    lifter = {name: value for name, value in REFERENCE.at("lifter", 0).items() if name != "plunger_travel"}
    solid = type(REFERENCE)(
        {**REFERENCE.slots, "lifter": ({**lifter, "action": "solid"},) * 16},
        REFERENCE.settings,
        REFERENCE.points,
    )
    assert not plunger_travel_left(engines(solid, REFERENCE), INTAKE)[1][0].any()
    assert facts_of(solid, REFERENCE).column("plunger_travel_left.hot_idle", INTAKE)[0] is None


def test_ten_thou_of_pushrod_are_ten_thou_of_preload_where_no_nut_makes_up_for_them():
    gained, known = preload_per_pushrod(engines(FIXED, REFERENCE), INTAKE)
    assert gained == pytest.approx([10 * THOU, 0.0])
    assert known.all()
    longer = engine({"pushrod.length": height("pushrod.length") + 10 * THOU}, FIXED)
    assert cold(longer) - cold(FIXED) == pytest.approx(gained[0], abs=1e-12)


@settings(max_examples=15, deadline=None)
@given(
    base=st.floats(-60, 0), gasket=st.floats(-20, 60), milled=st.floats(0, 40), valve=st.sampled_from([0, 1])
)
def test_the_required_pushrod_gives_the_preload_of_the_design(base, gasket, milled, valve):
    changes = {
        "camshaft.base_circle_radius": height("camshaft.base_circle_radius") + base * THOU,
        "gasket.thickness": height("gasket.thickness") + gasket * THOU,
        "cylinder_head.pivot_height": height("cylinder_head.pivot_height") - milled * THOU,
    }
    odd = engine(changes, FIXED)
    needed, known = required_pushrod_length(engines(odd, FIXED), valve)
    assert known.all()
    mended = engine({"pushrod.length": float(needed[0, IDLE])}, odd)
    found = preload_left(engines(mended, FIXED), valve)[:, IDLE]
    assert found[0] == pytest.approx(found[1], abs=1e-9)


def test_the_pushrod_for_a_reground_camshaft_by_hand():
    # 30 thou lower, 30 thou longer: 7.800 + 0.030 in, less what 30 thou of steel grow in 80 K (0.03 thou).
    reground = engine({"camshaft.base_circle_radius": height("camshaft.base_circle_radius") - 30 * THOU})
    needed, _ = required_pushrod_length(engines(reground, REFERENCE), INTAKE)
    assert needed[0, IDLE] == pytest.approx(7.830 * INCH, abs=0.1 * THOU)
    assert needed[1, IDLE] == pytest.approx(7.800 * INCH, abs=1e-9)


def test_no_pushrod_is_required_where_a_height_is_not_known():
    rocker = {name: value for name, value in REFERENCE.at("rocker", 0).items() if name != "cup_drop"}
    unknown = type(REFERENCE)(
        {**REFERENCE.slots, "rocker": (rocker,) * 16}, REFERENCE.settings, REFERENCE.points
    )
    assert not required_pushrod_length(engines(unknown, REFERENCE), INTAKE)[1][0].any()
    assert facts_of(unknown, REFERENCE).column("required_pushrod_length.hot_idle")[0] is None


def test_a_wanted_preload_asks_for_the_pushrod_that_gives_it():
    """By hand: 25 thou are set up; 40 wanted cold take a rod 15 thou longer, whatever the point makes of both."""
    wanted = engine({"settings.wanted_preload": 40 * THOU}, FIXED)
    length = required_pushrod_length(engines(wanted, FIXED), INTAKE)[0]
    assert length[0] == pytest.approx(REFERENCE.at("pushrod", INTAKE)["length"] + 15 * THOU, abs=0.05 * THOU)
    fitted = engine({"pushrod.length": float(length[0, IDLE])}, wanted)
    assert cold(fitted) == pytest.approx(40 * THOU, abs=0.05 * THOU)
    again = required_pushrod_length(engines(fitted, FIXED), INTAKE)[0]
    assert again[0, IDLE] == pytest.approx(
        length[0, IDLE], abs=0.05 * THOU
    )  # the longer rod grows a little more
