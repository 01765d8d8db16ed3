"""Lifter bores with bushes: their hole ahead of window and lands, beside the same worked out angle by angle."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tarn_v8 import (
    KNOWLEDGE,
    PLAN,
    POINTS,
    REFERENCE,
    VOCABULARY,
    engine,
    engines,
    even_angles,
    over_angles,
    possible,
)  # fmt: skip
from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.facts import Facts
from upfeed.flow.ladder import ladder
from upfeed.flow.parted import parted
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.variants import Variant, variant
from upfeed.physics.laws import flow, hole

MM, INCH, IDLE = 1e-3, 25.4e-3, ".hot_idle"
GALLERY = REFERENCE.at("block", 0)["gallery_diameter"]
HEIGHT = REFERENCE.at("block", 0)["gallery_height"]


def bushed(diameter, height=HEIGHT, wall=2.5 * MM, of=REFERENCE):
    bush = {"bush_hole_diameter": diameter, "bush_hole_height": height, "bush_wall": wall}
    return engine({"block.lifter_bores": "bushed"} | {f"block.{name}": v for name, v in bush.items()}, of)


def made_of(*variants):
    row = engines(*variants)
    return circuit(row, topology(PLAN, VOCABULARY.kinds, parted(row)))


def facts_of(*variants):
    made = made_of(*variants)
    return Facts(made, solve(made.network))


def at_points(facts, name, number):
    return np.array([facts.column(f"{name}.{point}")[number] for point in POINTS])


LANDS = ("consumer_flow.lifter.land_above", "consumer_flow.lifter.land_below")
HOLES = st.floats(*possible("block", "bush_hole_diameter"))
HEIGHTS = st.floats(40 * MM, 44 * MM)


@given(one=HOLES, other=HOLES, height=HEIGHTS)
@settings(deadline=None, max_examples=25)
def test_a_smaller_bush_hole_never_passes_more_and_never_lowers_the_pressure(one, other, height):
    """What passes goes to the rockers and along the lands, which take more than their share of a very large hole."""
    small, large = sorted((one, other))
    assume(large < 2 * (height - 0.9 * INCH))
    facts = facts_of(bushed(small, height), bushed(large, height))
    assert facts.solution.converged.all()
    less, more = (
        sum(at_points(facts, name, number) for name in ("top_end_flow", *LANDS)) for number in (0, 1)
    )
    assert (less <= more * (1 + 1e-7)).all()
    assert (
        at_points(facts, "gallery_pressure", 0) >= at_points(facts, "gallery_pressure", 1) * (1 - 1e-7)
    ).all()


def test_a_small_bush_hole_costs_oil_and_gives_pressure():
    facts = facts_of(bushed(1 * MM), REFERENCE)
    assert (at_points(facts, "top_end_flow", 0) < 0.95 * at_points(facts, "top_end_flow", 1)).all()
    assert facts.column(f"gallery_pressure{IDLE}")[0] > facts.column(f"gallery_pressure{IDLE}")[1]


@pytest.mark.parametrize("wall", [0.5 * MM, 5 * MM])
def test_a_bush_hole_as_wide_and_as_high_as_the_gallery_changes_next_to_nothing(wall):
    # By hand, hot idle: 40 mL/min through a 10 mm hole 5 mm deep: a = 24/1e-6 + 128 * 0.005/(pi 1e-8) = 4.4e7 1/m3,
    # times 8 mPa s and 7e-7 m3/s: 0.3 Pa of 190 kPa.
    facts = facts_of(bushed(GALLERY, wall=wall), REFERENCE)
    for name in ("top_end_flow", "gallery_pressure"):
        assert at_points(facts, name, 0) == pytest.approx(at_points(facts, name, 1), rel=1e-4)
    assert facts.column("fed_share")[0] == facts.column("fed_share")[1]


def test_the_bush_hole_is_the_window_that_the_band_meets():
    # Band 1.05 to 1.18 in above the foot, base circle 0.55 in: its lower edge passes a hole of 0.2 in at 1.63 in at
    # 1.73 - 1.60 = 0.13 in of lift; one raised by 0.1 in 0.1 in later, by hand.
    low, high = bushed(0.2 * INCH), bushed(0.2 * INCH, HEIGHT + 0.1 * INCH)
    assert facts_of(low, high).column("cut_off_lift") == pytest.approx((0.13 * INCH, 0.23 * INCH), rel=1e-6)


def by_hand(bush, bush_seen, role, dp, mu, rho):
    """Mean flow up one pushrod with the pressure behind the bush found at each angle by itself."""
    block = bush.at("block", 0)
    ahead = hole(block["bush_hole_diameter"], block["bush_wall"])

    def behind(pressure):
        return over_angles(bush_seen, role, even_angles(180), pressure, mu, rho, 1.0)

    low, high = np.zeros(180), np.full(180, dp)
    for _ in range(40):  # halved to a millionth of a millionth of the pressure, every angle for itself
        middle = (low + high) / 2
        more = flow(dp - middle, ahead, mu, rho) > sum(behind(middle).values())
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    return float(np.mean(behind((low + high) / 2)["rocker.oil_hole"]))


@pytest.mark.parametrize(("diameter", "within"), [(5 * MM, 5e-3), (1.5 * MM, 5e-3), (1 * MM, 1e-2)])
def test_one_pressure_behind_the_bush_stands_for_that_of_each_angle(diameter, within):
    bush = bushed(diameter)
    block = {"block.gallery_height": HEIGHT, "block.gallery_diameter": diameter}
    made = made_of(bush)
    solution = solve(made.network)
    pressure = solution.pressure[0, made.topology.nodes.index("block.lifter_gallery")]
    mu, rho = float(made.network.mu[0]), float(made.network.rho[0])
    expected = sum(by_hand(bush, engine(block), role, pressure, mu, rho) for role in ("intake", "exhaust"))
    found = facts_of(bush).column(f"top_end_flow{IDLE}")[0] / 8
    assert found == pytest.approx(expected, rel=within)


def test_the_bush_hole_drops_what_its_law_says():
    made = made_of(bushed(1 * MM), REFERENCE)
    solution = solve(made.network)
    rung = next(r for r in ladder(made, solution, 0) if r.passage == "bush_hole")
    number = next(i for i, b in enumerate(made.branches) if ("lifter", "bush_hole") in b.chain.steps)
    law = hole(1 * MM, 2.5 * MM)
    for i in range(len(POINTS)):
        through = solution.flow[i, number]
        mu, rho = made.network.mu[i], made.network.rho[i]
        assert rung.drop[0, i] == pytest.approx(
            float(law.a * mu * through + law.b * rho * through**2), rel=1e-6
        )
    # Beside it a plain bore, where nothing is in the way: next to nothing of some 2e5 to 4e5 Pa.
    assert (rung.drop[1] < 2e-3).all()


def test_bushes_without_a_hole_shut_everything_behind_them():
    shut = engine({"block.lifter_bores": "bush_undrilled", "block.bush_wall": 2.5 * MM})
    facts = facts_of(shut, REFERENCE)
    for name in ("top_end_flow", *LANDS):
        assert facts.column(f"{name}{IDLE}")[0] == 0.0 < facts.column(f"{name}{IDLE}")[1]
    assert facts.column("ways_up") == facts.column("ways_to_lifter") == (0.0, 1.0)
    assert facts.column("way_up_ends_at") == ("lifter.bush_hole", None)
    assert facts.column("primed_share")[0] == 0.0
    assert facts.column(f"first_oil{IDLE}")[0] is None


def test_a_plain_bore_beside_a_bushed_one_is_what_it_is_by_itself():
    beside, alone = facts_of(bushed(2 * MM), REFERENCE), facts_of(REFERENCE)
    assert len(made_of(REFERENCE).topology.nodes) + 16 == len(beside.circuit.topology.nodes)
    for name in ("top_end_flow", "gallery_pressure"):
        assert at_points(beside, name, 1) == pytest.approx(at_points(alone, name, 0), rel=3e-8)
    assert beside.column(f"first_oil{IDLE}")[1] == pytest.approx(
        alone.column(f"first_oil{IDLE}")[0], rel=1e-6
    )
    assert beside.column("primed_share")[1] == alone.column("primed_share")[0]


def test_ways_that_leave_bushes_out_take_no_engine_with_bushes():
    with pytest.raises(ValueError, match="bush_hole"):
        circuit(engines(bushed(2 * MM)), topology(PLAN, VOCABULARY.kinds))


def test_a_gallery_from_lifter_to_lifter_goes_on_past_bushes():
    family = KNOWLEDGE.families["wexcombe-four"]
    plain = variant(reference_build(family, KNOWLEDGE, VOCABULARY))
    block = plain.at("block", 0)
    outer = plain.at("lifter", 0)["body_diameter"] + 2 * 2 * MM
    sizes = {"bush_hole_height": block["gallery_height"], "bush_wall": 2 * MM}

    def one(bores, diameter, offset):
        bush = sizes | {"lifter_bores": bores, "bush_hole_diameter": diameter, "gallery_offset": offset}
        return Variant(plain.slots | {"block": ({**block, **bush},)}, plain.settings, plain.points)

    clear, through = (outer + block["gallery_diameter"]) / 2, 0.0
    wide, small = block["gallery_diameter"], 1.5 * MM
    variants = (
        one("bushed", wide, clear),
        one("bushed", wide, through),
        one("bushed", small, through),
        one("bush_undrilled", wide, through),
    )
    row = Engines(family.plan, VOCABULARY, variants, tuple(family.points))
    made = circuit(row, topology(family.plan, VOCABULARY.kinds, parted(row)))
    facts = Facts(made, solve(made.network))
    assert facts.solution.converged.all()
    most, much, little, none = facts.column(f"mains_pressure{IDLE}")
    assert most > much > little
    assert none is None
