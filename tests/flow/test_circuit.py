"""The solver's arrays: pump, oil, counts and weights by hand, and a whole engine solved apart from them."""

import numpy as np
import pytest
from msgspec.structs import replace
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from tarn_v8 import (
    PLAN,
    POINTS,
    REFERENCE,
    TOPOLOGY,
    VOCABULARY,
    engine,
    engine_at,
    engines,
    even_angles,
    over_angles,
    over_filter,
    part,
    wired,
)
from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.network import OUTSIDE
from upfeed.flow.solve import solve
from upfeed.knowledge.vocabulary import Binding
from upfeed.physics.laws import bore, groove, hole
from upfeed.physics.oil import oil_at
from upfeed.physics.resistance import flow, in_series

THOU, PSI = 25.4e-6, 6894.757293168
RPM = {"hot_idle": 650, "cruise": 2500, "top_speed": 5500, "cold_start": 1000}
CELSIUS = {"hot_idle": 100, "cruise": 100, "top_speed": 115, "cold_start": -10}


def test_cases_run_over_points_within_variants():
    network = wired(REFERENCE, engine({"oil": "MO-020"})).network
    for variant, oil in enumerate(("MO-530", "MO-020")):
        known = part(oil)
        for place, point in enumerate(POINTS):
            expected = oil_at(
                CELSIUS[point] + 273.15, known["viscosity_40"], known["viscosity_100"], known["density_15"]
            )
            case = variant * len(POINTS) + place
            assert_allclose((network.mu[case], network.rho[case]), expected, rtol=1e-12)


def test_the_pump_by_hand():
    # 13.5 mL a turn at half crank speed, 6e-13 m3 of slip, relief at 56 psi, 60 L/min for each further bar.
    network = wired(REFERENCE).network
    assert_allclose(network.inflow, [13.5e-6 * 0.5 * RPM[point] / 60 for point in POINTS], rtol=1e-12)
    assert_allclose(network.scale, [13.5e-6 * 0.5 * 5500 / 60] * len(POINTS), rtol=1e-12)
    assert_allclose(network.relief_opens, 56 * PSI, rtol=1e-9)
    assert_allclose(network.relief_slope, 60e-3 / 60 / 1e5, rtol=1e-12)
    # The last branch is the slip, k dp/mu.
    assert_allclose(network.series.a[:, -1], 1 / 6e-13, rtol=1e-12)
    assert (network.series.b[:, -1] == 0).all()
    assert (network.tail[-1], network.head[-1]) == (network.source, OUTSIDE)


def test_a_pump_without_slip_has_none():
    made = wired(engine({"oil_pump.slip": 0.0}))
    assert np.isinf(made.network.series.a[:, -1]).all()
    solution = solve(made.network)
    assert solution.converged.all()
    assert (solution.flow[:, -1] == 0).all()


def test_ends_weights_and_counts_of_every_branch():
    made = wired(REFERENCE, engine({"block.main_count": 4.0}))
    network, nodes = made.network, made.topology.nodes
    for number, branch in enumerate(made.branches):
        assert nodes[network.tail[number]] == branch.chain.tail
        inner = branch.chain.head in nodes
        assert (
            (nodes[network.head[number]] == branch.chain.head) if inner else network.head[number] == OUTSIDE
        )
        assert_allclose(network.weight[:, number].sum(axis=1), 1.0, rtol=1e-12)
        assert network.count[:, number].tolist() == np.repeat(branch.count, len(POINTS)).tolist()


def test_a_clamped_disc_stands_in_the_row_and_a_raised_one_beside_its_notch():
    network = wired(REFERENCE, engine({"settings.preload": -60 * THOU})).network
    points = len(POINTS)
    # No resistance left in the pair, and nothing beside it, while the disc is clamped.
    assert (network.first.a[:points] < 1.0).all()
    assert np.isinf(network.second.a[:points]).all()
    # Raised: both ways on the base circle, clamped again all over the lobe.
    notch = float(hole(np.sqrt(4 * part("BW-118")["notch_area"] / np.pi), 0.0).a)
    assert_allclose(network.first.a[points:, :, 0], notch, rtol=1e-12)
    assert np.isfinite(network.second.a[points:, :, 0]).all()
    assert (network.first.a[points:, :, 1:] < 1.0).all()
    assert np.isinf(network.second.a[points:, :, 1:]).all()


def test_two_pairs_in_a_row_are_refused():
    lifter = VOCABULARY.kinds["lifter"]
    disc = lifter.passages["metering"].laws["disc"]
    feed = replace(lifter.passages["feed_hole"], laws={"": Binding("notched_disc", disc.takes)})
    odd = replace(lifter, passages=lifter.passages | {"feed_hole": feed})
    vocabulary = replace(VOCABULARY, kinds=VOCABULARY.kinds | {"lifter": odd})
    with pytest.raises(ValueError, match="more than one pair of ways side by side"):
        circuit(Engines(PLAN, vocabulary, (REFERENCE,), POINTS), TOPOLOGY)


def test_a_plan_without_pairs_has_none():
    made = wired(engine({"lifter": "BW-131"}))
    assert made.network.paired.size == 0
    assert solve(made.network).converged.all()


def test_other_variants_leave_a_case_as_it_is():
    alone = wired(REFERENCE)
    others = [engine({"lifter": name}) for name in ("BW-121", "BW-131", "BW-140")]
    beside = wired(*others, REFERENCE, engine_at(3, {"lifter": "BW-126"}))
    own = slice(3 * len(POINTS), 4 * len(POINTS))
    found, expected = solve(beside.network), solve(alone.network)
    assert [f"{x:.8g}" for x in found.pressure[own].ravel()] == [
        f"{x:.8g}" for x in expected.pressure.ravel()
    ]


# A whole engine, written out once more from laws and parts, every angle by itself, and solved by bracketing


def leaks_of_the_main_gallery(variant, dp, mu, rho, speed):
    block = variant.at("block", 0)
    bearings = (("main", 0.6, np.pi / 2, 1.0), ("rod", 0.5, 0.4, 1.0), ("cam", 0.5, 0.4, 0.5))
    total = 0.0
    for name, eccentricity, arc, turns in bearings:
        law = groove(
            block[f"{name}_journal"],
            block[f"{name}_clearance"],
            block[f"{name}_land"],
            eccentricity,
            -arc,
            arc,
        )
        fed = float(flow(dp, law, mu, rho))
        # Qh = U c L e: surface speed, radial clearance, both lands.
        surface = turns * speed * block[f"{name}_journal"] / 2
        drawn = surface * block[f"{name}_clearance"] / 2 * 2 * block[f"{name}_land"] * eccentricity
        starved = fed < 0.0225 * drawn
        through = fed * 0.9775 / 0.0225 if starved else fed + drawn - 0.3 * np.sqrt(fed * drawn)
        total += block[f"{name}_count"] * through
    bleed = hole(block["bleed_diameter"], block["bleed_length"])
    return total + float(flow(dp, bleed, mu, rho))


PLUG = {
    "block.gallery_feed": "restricted",
    "block.gallery_restrictor_diameter": 1.2e-3,
    "block.gallery_restrictor_length": 3e-3,
}

JETS = {
    "settings.preload": -60 * THOU,
    "pushrod.drilled": "restricted",
    "pushrod.restrictor_diameter": 0.4e-3,
    "pushrod.restrictor_length": 2e-3,
}


def gallery_pressure(variant, point, seated):
    """Pressures in the main and in the lifter gallery, Pa, by two nested brackets."""
    pump, oil, block, pan = (variant.at(slot, 0) for slot in ("oil_pump", "oil", "block", "oil_pan"))
    mu, rho = oil_at(
        variant.points[point]["oil_temperature"], oil["viscosity_40"], oil["viscosity_100"], oil["density_15"]
    )
    feed = bore(block["gallery_feed_diameter"], block["gallery_feed_length"])
    if block["gallery_feed"] == "restricted":
        feed = in_series(hole(block["gallery_restrictor_diameter"], block["gallery_restrictor_length"]), feed)
    speed = variant.points[point]["speed"]
    delivered = min(
        pump["displacement"] * pump["drive_ratio"] * speed / (2 * np.pi),
        float(flow(60e3, bore(pan["pickup_diameter"], pan["pickup_length"]), mu, rho)),
    )

    def taken_by_valves(p):
        pairs = (over_angles(variant, role, even_angles(720), p, mu, rho, seated) for role in PLAN.roles)
        return PLAN.cylinders * sum(float(q.mean()) for pair in pairs for q in pair.values())

    def lifter_gallery(p):
        return brentq(lambda x: taken_by_valves(x) - float(flow(p - x, feed, mu, rho)), 0, p, xtol=1e-3)

    def excess(p):
        taken = leaks_of_the_main_gallery(variant, p, mu, rho, speed)
        taken += float(flow(p - lifter_gallery(p), feed, mu, rho))
        outlet = p + over_filter(variant, taken, mu)
        slip = pump["slip"] * outlet / mu
        relief = pump["relief_slope"] * max(outlet - pump["relief_opens"], 0.0)
        return delivered - slip - relief - taken

    main = brentq(excess, 1e2, 2e6, xtol=1e-2)
    return main, lifter_gallery(main)


@pytest.mark.parametrize(
    ("changes", "seated"),
    [
        ({}, 1.0),
        ({"settings.preload": -60 * THOU}, 0.0),
        ({"lifter": "BW-131", "oil": "MO-2050", "block.main_clearance": 4 * THOU}, 1.0),
        (PLUG, 1.0),
        (JETS, 0.0),
    ],
    ids=[
        "reference",
        "raised discs",
        "orifices, thick oil, worn mains",
        "plug before the lifter gallery",
        "jets in the pushrods",
    ],
)
@pytest.mark.parametrize("point", ["hot_idle", "top_speed", "cold_start"])
def test_a_whole_engine_against_one_solved_angle_by_angle(changes, seated, point):
    variant = engine(changes)
    made = wired(variant)
    solution = solve(made.network)
    case = POINTS.index(point)
    found = [
        solution.pressure[case, made.topology.nodes.index(f"block.{n}_gallery")] for n in ("main", "lifter")
    ]
    # The rockers' share of the oil is within 0.3 %, so the pressures are within a third of that.
    assert found == pytest.approx(gallery_pressure(variant, point, seated), rel=1e-3)


def test_engines_and_topology_are_kept():
    made_of = engines(REFERENCE, REFERENCE)
    made = circuit(made_of, TOPOLOGY)
    assert made.shape == (2, len(POINTS))
    assert (made.engines, made.topology) == (made_of, TOPOLOGY)
