"""What has to hold whatever the parts: larger never passes less, tighter never costs pressure, order never matters."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tarn_v8 import (
    FAMILY,
    KNOWLEDGE,
    PLAN,
    POINTS,
    REFERENCE,
    TOPOLOGY,
    VOCABULARY,
    engine,
    engine_at,
    facts_of,
    part,
    possible,
)
from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.facts import Facts
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.flow.survey import survey
from upfeed.knowledge.records import BuildSheet, Plan
from upfeed.knowledge.variants import Variant
from upfeed.physics.timing import lobe_exists

pytestmark = pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time

THOU, MM = 25.4e-6, 1e-3
VALVES = range(len(PLAN.valves))
ROUNDED = 1 + 1e-7
"""Facts have eight digits; the last of them may fall either way."""

checked = settings(max_examples=40, deadline=None)


def within(kind, attribute, least=0.0, most=math.inf):
    low, high = possible(kind, attribute)
    low, high = max(low, least), min(high, most)
    return st.floats(math.log(low), math.log(high)).map(math.exp)


LIFTERS = ("BW-118", "BW-110", "BW-133", "BW-131", "BW-140", "BW-204")
engines_drawn = st.builds(
    lambda lifter, sizes: engine({"lifter": lifter, **sizes}),
    st.sampled_from(LIFTERS),
    st.fixed_dictionaries(
        {
            "lifter.feed_hole": within("lifter", "feed_hole"),
            "lifter.cup_hole": within("lifter", "cup_hole"),
            "pushrod.bore": within("pushrod", "bore", least=0.5 * MM),
            "pushrod.tip_hole": within("pushrod", "tip_hole"),
            "rocker.oil_hole": within("rocker", "oil_hole"),
            "rocker.rest_offset": st.floats(-1 * MM, 1 * MM),
            "block.lifter_bore": st.floats(21.4 * MM, 21.5 * MM),
            "block.main_clearance": within("block", "main_clearance", 1 * THOU, 6 * THOU),
            "block.rod_clearance": within("block", "rod_clearance", 1 * THOU, 6 * THOU),
            "oil_pump.displacement": st.floats(5e-6 / (2 * math.pi), 25e-6 / (2 * math.pi)),
            "oil.viscosity_40": st.floats(40e-6, 200e-6),
            "settings.preload": st.sampled_from([-5 * THOU, 25 * THOU]),
        }
    ).map(lambda sizes: sizes | {"oil.viscosity_100": sizes["oil.viscosity_40"] / 6}),
)
factors = st.one_of(st.floats(1, 1.001), st.floats(1, 1.5), st.floats(1, 10))


def widened(attribute, factor):
    """An engine with one size multiplied, in all positions; only where the part has it."""

    def change(of):
        slot, _, name = attribute.partition(".")
        assume(name in of.at(slot, 0))
        return engine({attribute: of.at(slot, 0)[name] * factor}, of)

    return change


def columns(facts, name, valves=(0, 1)):
    """A fact before and after the change, at every point and valve."""
    return [facts.column(f"{name}.{point}", valve) for point in POINTS for valve in valves]


HOLES = (
    "lifter.feed_hole",
    "lifter.notch_area",
    "lifter.metering_orifice",
    "lifter.cup_fit_bore",
    "lifter.cup_hole",
    "pushrod.bore",
    "pushrod.tip_hole",
    "rocker.oil_hole",
)


@given(engines_drawn, st.sampled_from(HOLES), factors)
@checked
def test_a_larger_hole_never_passes_less(of, hole, factor):
    facts = facts_of(of, widened(hole, factor)(of))
    for before, after in columns(facts, "valve_flow"):
        assert after * ROUNDED >= before
    for before, after in columns(facts, "top_end_flow", valves=(0,)):
        assert after * ROUNDED >= before
    for before, after in columns(facts, "gallery_pressure", valves=(0,)):
        assert after <= before * ROUNDED


@given(engines_drawn, st.sampled_from(HOLES), factors, st.sampled_from(VALVES))
@checked
def test_a_larger_hole_at_one_valve_takes_from_the_others(of, hole, factor, valve):
    slot, _, name = hole.partition(".")
    assume(name in of.at(slot, 0))
    facts = facts_of(of, engine_at(valve, {hole: of.at(slot, 0)[name] * factor}, of))
    for point in POINTS:
        for other in VALVES:
            before, after = facts.column(f"valve_flow.{point}", other)
            assert after * ROUNDED >= before if other == valve else after <= before * ROUNDED


@given(engines_drawn, st.floats(0, 8 * MM), st.floats(0, 8 * MM))
@checked
def test_a_wider_band_never_feeds_for_less_of_the_turn(of, down, up):
    lifter = of.at("lifter", 0)
    wide = engine(
        {"lifter.band_from": lifter["band_from"] - down, "lifter.band_to": lifter["band_to"] + up}, of
    )
    facts = facts_of(of, wide)
    for valve in (0, 1):
        before, after = facts.column("fed_share", valve)
        assert after >= before
        leaves = facts.column("cut_off_lift", valve)
        assert leaves[1] is None or leaves[0] is not None
        assert None in leaves or leaves[1] * ROUNDED >= leaves[0]


BEARINGS = ("block.main_clearance", "block.rod_clearance", "block.cam_clearance")


@given(engines_drawn, st.sampled_from(BEARINGS), factors)
@checked
def test_more_bearing_clearance_never_raises_the_gallery_pressure(of, bearing, factor):
    facts = facts_of(of, widened(bearing, factor)(of))
    for before, after in columns(facts, "gallery_pressure", valves=(0,)):
        assert after <= before * ROUNDED
    for before, after in columns(facts, "valve_flow"):
        assert after <= before * ROUNDED


@given(engines_drawn, factors)
@checked
def test_a_looser_lifter_never_raises_the_gallery_pressure(of, factor):
    # The land leaks more and the window's edge resists less.
    clearance = of.at("block", 0)["lifter_bore"] - of.at("lifter", 0)["body_diameter"]
    loose = engine({"block.lifter_bore": of.at("lifter", 0)["body_diameter"] + clearance * factor}, of)
    for before, after in columns(facts_of(of, loose), "gallery_pressure", valves=(0,)):
        assert after <= before * ROUNDED


@given(engines_drawn, st.floats(1, 2))
@checked
def test_thinner_oil_never_raises_the_gallery_pressure_below_the_relief(of, factor):
    oil = of.at("oil", 0)
    thin = engine({f"oil.viscosity_{at}": oil[f"viscosity_{at}"] / factor for at in (40, 100)}, of)
    facts, opens = facts_of(of, thin), of.at("oil_pump", 0)["relief_opens"]
    inflow = facts.circuit.network.inflow.reshape(facts.circuit.shape)
    for i, point in enumerate(facts.circuit.engines.points):
        relieved = max(facts.column(f"pump_pressure.{point}")) >= opens
        # So cold that the pickup holds it back, a pump gets more of a thinner oil.
        if not relieved and inflow[0, i] == inflow[1, i]:
            thick_oil, thin_oil = facts.column(f"gallery_pressure.{point}")
            assert thin_oil <= thick_oil * ROUNDED


@given(engines_drawn, factors)
@checked
def test_a_larger_pump_never_lowers_pressure_or_oil_at_the_rockers(of, factor):
    facts = facts_of(of, widened("oil_pump.displacement", factor)(of))
    for name in ("gallery_pressure", "pump_delivery", "valve_flow"):
        for before, after in columns(facts, name, valves=(0, 1)):
            assert after * ROUNDED >= before


@given(engines_drawn)
@checked
def test_losing_preload_never_gives_the_rockers_less(of):
    assume(of.at("lifter", 0)["metering"] == "disc")
    seated, lost = engine({"settings.preload": 40 * THOU}, of), engine({"settings.preload": -40 * THOU}, of)
    for before, after in columns(facts_of(seated, lost), "valve_flow"):
        assert after * ROUNDED >= before


cards = st.tuples(
    st.floats(5 * MM, 12 * MM),
    st.floats(0.05 * MM, 0.3 * MM),
    st.floats(math.radians(200), math.radians(340)),
    st.floats(0.8 * MM, 1.6 * MM),
    st.floats(math.radians(120), math.radians(300)),
).filter(lambda card: bool(lobe_exists(*card)))


@given(engines_drawn, cards)
@checked
def test_every_engine_has_a_settled_solution_and_nothing_but_numbers(of, card):
    names = ("lift", "low_lift", "low_duration", "high_lift", "high_duration")
    cam = {f"camshaft.intake_{name}": value for name, value in zip(names, card, strict=True)}
    facts = facts_of(engine(cam, of))
    for point in POINTS:
        assert facts.solved(point)
        assert facts.residual(point) <= 1e-9
        assert 0 <= facts.column(f"worst_valve_flow.{point}")[0] <= facts.column(f"top_end_flow.{point}")[0]
        assert facts.column(f"gallery_pressure.{point}")[0] > 0


# Order


NAMES = (
    *tuple(
        f"{name}.{point}"
        for name in (
            "gallery_pressure",
            "pump_delivery",
            "top_end_flow",
            "worst_valve_flow",
            "valve_flow",
            "tightest",
        )
        for point in POINTS
    ),
    "ways_up",
    "fed_share",
    "cut_off_lift",
    "rocker_open_share",
)


def facts_in(plan, variant):
    ways = TOPOLOGY if plan is PLAN else topology(plan, VOCABULARY.kinds)
    made = circuit(Engines(plan, VOCABULARY, (variant,), POINTS), ways)
    return Facts(made, solve(made.network))


def reordered(plan, slots, joins, roles):
    return Plan(plan.cylinders, roles, {name: plan.slots[name] for name in slots}, joins)


@given(
    engines_drawn,
    st.permutations(list(PLAN.slots)),
    st.permutations(list(PLAN.joins)),
    st.permutations(list(PLAN.roles)),
    st.integers(0, 15),
    st.randoms(use_true_random=False),
)
@checked
def test_the_order_of_slots_joins_valves_and_parts_never_matters(of, slots, joins, roles, odd, shuffle):
    of = engine_at(odd, {"lifter.feed_hole": 1.1 * MM, "rocker.oil_hole": 0.9 * MM}, of)
    plan = reordered(PLAN, slots, tuple(pair[:: shuffle.choice((1, -1))] for pair in joins), tuple(roles))
    place = {valve: i for i, valve in enumerate(PLAN.valves)}
    turned = Variant(
        {
            name: row if len(row) == 1 else tuple(row[place[valve]] for valve in plan.valves)
            for name, row in ((name, of.slots[name]) for name in slots)
        },
        of.settings,
        of.points,
    )
    found, expected = facts_in(plan, turned), facts_in(PLAN, of)
    for i, valve in enumerate(plan.valves):
        for name in NAMES:
            assert found.column(name, i) == expected.column(name, place[valve])


@given(engines_drawn, engines_drawn)
@checked
def test_the_order_of_variants_never_matters(one, other):
    found, turned = facts_of(one, other), facts_of(other, one)
    for name in NAMES:
        assert found.column(name) == turned.column(name)[::-1]


# Reference beside itself


def test_ratios_of_every_reference_beside_itself_are_exactly_one():
    for family in KNOWLEDGE.families.values():
        sheet = BuildSheet("same", "", family.id, None, {}, {}, {}, (), (), FAMILY.origin)
        surveyed = survey(sheet, KNOWLEDGE, VOCABULARY)
        valves = range(len(family.plan.valves))
        for name, fact in VOCABULARY.facts.items():
            if not fact.compared or fact.text or fact.scope == "passage":
                continue
            for one in [f"{name}.{point}" for point in POINTS] if fact.at == "point" else [name]:
                for valve in valves if fact.scope == "valve" else (0,):
                    assert surveyed.known(one, valve) == surveyed.known(f"reference.{one}", valve)
                    assert set(surveyed.known(f"ratio.{one}", valve)) <= {1.0, None}
        assert set(surveyed.known("ratio.gallery_pressure.hot_idle", 0)) == {1.0}
        assert set(surveyed.known("ratio.worst_valve_flow.hot_idle", 0)) == {1.0}


def test_a_part_named_that_the_reference_has_anyway_changes_nothing():
    facts = facts_of(engine({"lifter": "BW-118", "oil": "MO-530"}), REFERENCE)
    assert part("BW-118") == REFERENCE.at("lifter", 0)
    for name in NAMES:
        named, reference = facts.column(name)
        assert named == reference
