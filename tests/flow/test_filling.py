"""The ways to a part that has to stay full, and down from a rocker: counted, followed, and solved as one row."""

import pytest
from msgspec.structs import replace

from made_plans import PUMP, family, kind
from tarn_v8 import KNOWLEDGE, VOCABULARY, rocker_end
from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.facts import Facts
from upfeed.flow.filling import paths_down, ways_to_fill
from upfeed.flow.lobes import lobes_of
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.variants import variant
from upfeed.physics.laws import bore, fit, flow, hole, in_series
from upfeed.physics.oil import oil_at

ONE = (1, "intake")
ROCKER = kind("rocker", "bore end", {"spout": "bore rocker_cover", "arm": "bore end"})
ROD = kind("rod", "foot tip", {"bore": "foot tip"})
LIFTER = replace(
    kind(
        "lifter",
        "gallery inside above",
        {
            "feed": "gallery inside",
            "hole": "above inside",
            "weep": "inside crankcase",
            "land": "gallery crankcase",
        },
    ),
    kept_full=("inside",),
)
DOWN = ("pump.outlet rocker.bore", "rocker.end rod.tip", "rod.foot lifter.above")


def laid_out(*joins, kinds=(PUMP, ROCKER, ROD, LIFTER)):
    plan = family(kinds, joins, each=("rocker", "rod", "lifter"), roles=("intake", "exhaust"))
    by_name = {k.name: k for k in kinds}
    return topology(plan, by_name), plan, by_name


def counted(made, *shut_ways):
    return ways_to_fill(*made, shut=set(shut_ways))


def test_a_lifter_below_its_rocker_is_filled_by_one_way_until_anything_on_it_is_shut():
    made = laid_out(*DOWN)
    other = (1, "exhaust")
    assert counted(made) == {ONE: 1, other: 1}
    for way in (("rocker", "arm"), ("rod", "bore"), ("lifter", "hole")):
        assert counted(made, (*way, ONE)) == {ONE: 0, other: 1}
    for way in (("rocker", "spout"), ("lifter", "weep"), ("lifter", "feed")):
        assert counted(made, (*way, ONE)) == {ONE: 1, other: 1}


def test_a_gallery_fills_a_lifter_and_a_pushrod_beside_it_is_a_second_way():
    gallery = laid_out("pump.outlet lifter.gallery")
    assert counted(gallery)[ONE] == 1
    assert counted(gallery, ("lifter", "feed", ONE))[ONE] == 0
    assert counted(laid_out(*DOWN, "pump.outlet lifter.gallery"))[ONE] == 2


def test_a_family_without_a_part_that_stays_full_counts_nothing():
    plain = replace(LIFTER, kept_full=())
    assert counted(laid_out(*DOWN, kinds=(PUMP, ROCKER, ROD, plain))) == {}


def steps(paths):
    return [" ".join(step for chain in path for _, step in chain.steps) for path in paths]


def test_the_way_down_goes_through_the_rocker():
    # Beside the weep the oil may go on to the lands, since no gallery takes it.
    assert steps(paths_down(laid_out(*DOWN)[0], ONE)) == ["arm bore hole feed land", "arm bore hole weep"]
    assert steps(paths_down(laid_out("pump.outlet lifter.gallery", "pump.outlet rocker.bore")[0], ONE)) == []


def test_what_no_oil_could_reach_is_no_chain():
    made, *_ = laid_out("pump.outlet rocker.bore")
    assert {way.slot for chain in made.chains for way in chain.ways} == {"rocker"}
    assert made.nodes == ("pump.outlet",)


# The demo family whose lifters are filled from above, and the one on pedestals


def solved(family_id, **changes):
    built = KNOWLEDGE.families[family_id]
    of = variant(reference_build(built, KNOWLEDGE, VOCABULARY))
    slots = {
        slot: tuple({**known, **changes.get(slot, {})} for known in row[:1]) * len(row)
        for slot, row in of.slots.items()
    }
    engines = Engines(built.plan, VOCABULARY, (replace(of, slots=slots), of), tuple(built.points))
    made = circuit(engines, topology(built.plan, VOCABULARY.kinds))
    return made, Facts(made, solve(made.network))


def oil(made, point="hot_idle"):
    known = made.engines.variants[0].slots["oil"][0]
    warmth = made.engines.variants[0].points[point]["oil_temperature"]
    return (float(x) for x in oil_at(warmth, **known))


def pressure(made, facts, node):
    return float(facts.solution.pressure[0, made.topology.nodes.index(node)])


def test_arm_pushrod_and_weep_are_one_row_at_every_cam_angle():
    """Straight from the laws over 720 angles, at the pressure in the shaft."""
    made, facts = solved("orlebeck-five")
    rocker, rod, lifter = (made.engines.variants[0].at(slot, 0) for slot in ("rocker", "pushrod", "lifter"))
    lift = lobes_of(made.engines, 0).over_turn[0, 0]
    row = in_series(
        rocker_end(rocker, rod, lift),
        bore(rod["bore"], rod["length"]),
        hole(lifter["cup_hole"], 1.5e-3),
        hole(lifter["weep_diameter"], lifter["weep_length"]),
    )
    mu, rho = oil(made)
    each = flow(pressure(made, facts, "rocker_shaft.inner"), row, mu, rho).mean()
    assert facts.column("consumer_flow.lifter.weep.hot_idle")[0] == pytest.approx(10 * each, rel=3e-3)


def test_what_leaves_by_the_weep_is_no_oil_of_the_rockers():
    _, facts = solved("orlebeck-five", lifter={"weep_diameter": 0.4e-3})
    for name, sign in (("consumer_flow.lifter.weep.hot_idle", 1), ("top_end_flow.hot_idle", -1)):
        built, reference = facts.column(name)
        assert (built - reference) * sign > 0
    consumers = sum(facts.column(f"consumer_flow.{consumer}.hot_idle")[0] for consumer in facts.consumers)
    assert consumers == pytest.approx(facts.column("pump_delivery.hot_idle")[0], rel=1e-6)


@pytest.mark.parametrize(
    ("changes", "ends"),
    [
        ({"rocker": {"oiling": "closed"}}, "rocker.drilled_arm"),
        ({"rocker": {"oiling": "through_cup"}}, "rocker.drilled_arm"),
        ({"pushrod": {"drilled": "solid"}}, "pushrod.bore"),
        ({"lifter": {"metering": "blind"}}, "lifter.down_hole"),
        ({"gasket": {"oil_hole": "closed"}}, "gasket.oil_hole"),
    ],
)
def test_whatever_shuts_the_way_down_is_named(changes, ends):
    _, facts = solved("orlebeck-five", **changes)
    assert facts.column("ways_to_lifter") == (0.0, 1.0)
    assert facts.column("way_down_ends_at") == (ends, None)
    assert facts.column("consumer_flow.lifter.weep.hot_idle")[0] == 0.0
    dry = ends == "gasket.oil_hole"
    assert facts.column("ways_up")[0] == (0.0 if dry else 1.0)
    assert facts.column("way_up_ends_at")[0] == (ends if dry else None)


def test_a_lifter_made_for_a_gallery_fills_and_lets_nothing_out():
    _, facts = solved("orlebeck-five", lifter={"metering": "orifice"})
    assert facts.column("ways_to_lifter")[0] == 1.0
    assert facts.column("consumer_flow.lifter.weep.hot_idle")[0] == 0.0


def test_the_ladder_goes_on_where_the_oil_parts():
    _, facts = solved("orlebeck-five")
    up = [(rung.slot, rung.passage) for rung in facts.rungs(0)]
    down = [(rung.slot, rung.passage) for rung in facts.rungs_down(0)]
    assert up[-1] in (("rocker", "spout"), ("rocker", "shaft_fit"))
    assert [passage for _, passage in down] == ["drilled_arm", "bore", "down_hole", "weep"]
    assert facts.rungs_down(0)[0].ahead[0, 0] == pytest.approx(facts.rungs(0)[-1].ahead[0, 0], rel=1e-9)
    whole = sum(facts.column(f"share_of_drop.{slot}.{passage}.hot_idle")[0] for slot, passage in down)
    assert whole == pytest.approx(facts.column("share_of_drop.rocker.spout.hot_idle")[0], rel=1e-6)


def test_a_pedestal_passes_what_film_and_spout_let_out():
    """Three laws by hand at the solved pressure under the pin; the film as the two fits of a full groove."""
    made, facts = solved("wrenmoor-four")
    rocker, pedestal = (made.engines.variants[0].at(slot, 0) for slot in ("rocker", "rocker_pedestal"))
    mu, rho = oil(made)
    below = pressure(made, facts, "cylinder_head.stand")
    pin = pressure(made, facts, "rocker.bore[1 intake]")
    through = flow(below - pin, hole(pedestal["hole_diameter"], pedestal["hole_length"]), mu, rho)
    shaft = rocker["shaft_bore"] - rocker["shaft_clearance"]
    film = 2 * flow(pin, fit(rocker["shaft_bore"], shaft, rocker["shaft_land"], 0.5), mu, rho)
    spout = flow(pin, hole(rocker["spout_hole"], rocker["spout_depth"]), mu, rho)
    assert facts.column("valve_flow.hot_idle")[0] == pytest.approx(float(through), rel=1e-6)
    # The groove counts its circumference at the bore, the fit at the middle of the film: a part in a thousand.
    assert float(film + spout) == pytest.approx(float(through), rel=1e-3)


def test_the_pedestal_meters_as_its_designer_says():
    _, facts = solved("wrenmoor-four")
    shares = [
        facts.column(f"share_of_drop.{name}.hot_idle")[0]
        for name in ("rocker_pedestal.riser", "rocker.spout")
    ]
    assert shares[0] > 5 * shares[1]
    assert facts.column("tightest.hot_idle")[0] == "rocker_pedestal.riser"


@pytest.mark.parametrize("passage", ["inlet_banjo", "pipe", "outlet_banjo"])
def test_a_line_left_off_is_shut_and_one_that_is_fitted_carries_everything(passage):
    _, facts = solved("skelbeck-three", oil_line={"line": "blanked"})
    assert facts.column("ways_up") == (0.0, 1.0)
    assert facts.column("way_up_ends_at") == ("oil_line.inlet_banjo", None)
    assert facts.column("top_end_flow.hot_idle")[0] == 0.0
    assert facts.column(f"share_of_drop.oil_line.{passage}.hot_idle")[1] > 0
