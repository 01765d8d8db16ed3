"""A lifter with two bands in the solved engine, beside its ways written out angle by angle.

Heights in inches: gallery hole 1.43 to 1.83 above the cam's centre, base circle 0.55, lobes 0.275 and 0.280.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from tarn_v8 import (
    CARD,
    POINTS,
    REFERENCE,
    VOCABULARY,
    engine,
    even_angles,
    facts_of,
    part,
    rocker_end,
    wired,
)
from upfeed.flow.ladder import ladder
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.physics.laws import band, bore, hole, window
from upfeed.physics.resistance import Resistance, flow, in_series
from upfeed.physics.timing import lift_at, lobe

INCH, MM = 25.4e-3, 1e-3
STEADY = {"lifter.metering": "orifice", "lifter.metering_orifice": 0.5 * MM, "lifter.orifice_length": 1 * MM}
TWO = engine({"lifter": "BW-240"} | STEADY)
APART = engine({"lifter": "BW-242"} | STEADY)
FIRST = engine({"lifter.bands": "one"}, TWO)
SECOND = ("band_from", "band_to", "band_depth", "feed_hole", "wall")
TURNED = engine(
    {f"lifter.{name}": TWO.at("lifter", 0)[f"second_{name}"] for name in SECOND}
    | {f"lifter.second_{name}": TWO.at("lifter", 0)[name] for name in SECOND},
    TWO,
)
IDLE = ".hot_idle"


def row(variant, foot, name):
    """From the gallery by one band into the body, at every angle."""
    block, lifter = variant.at("block", 0), variant.at("lifter", 0)
    edges = lifter[f"{name}band_from"], lifter[f"{name}band_to"]
    return in_series(
        window(
            foot,
            *edges,
            block["gallery_height"],
            block["gallery_diameter"],
            block["lifter_bore"],
            lifter["body_diameter"],
        ),
        band(lifter["body_diameter"], *edges, lifter[f"{name}band_depth"]),
        hole(lifter[f"{name}feed_hole"], lifter[f"{name}wall"]),
    )


def by_hand(variant, names, role, dp, mu, rho):
    """Mean flow up one pushrod: at each angle the pressure inside the body found by `scipy`."""
    cam, lifter, rod = (variant.at(slot, 0) for slot in ("camshaft", "lifter", "pushrod"))
    angles = even_angles(720)
    lift = lift_at(angles, lobe(*(cam[f"{role}_{name}"] for name in CARD)))
    rows = [row(variant, cam["base_circle_radius"] + lift, name) for name in names]
    rest = in_series(
        hole(lifter["metering_orifice"], lifter["orifice_length"]),
        hole(lifter["cup_hole"], 1.5e-3),
        bore(rod["bore"], rod["length"]),
        rocker_end(variant.at("rocker", 0), rod, lift),
    )

    def through(laws, pressure, i):
        return sum(float(flow(pressure, Resistance(law.a[i], law.b[i]), mu, rho)) for law in laws)

    def one(i):
        inside = brentq(lambda p: through(rows, dp - p, i) - through([rest], p, i), 0, dp, xtol=1e-9 * dp)
        return through([rest], inside, i)

    return float(np.mean([one(i) for i in range(len(angles))]))


@pytest.mark.parametrize(
    ("variant", "names"), [(TWO, ("", "second_")), (TURNED, ("", "second_")), (APART, ("second_",))]
)
@pytest.mark.parametrize("point", [0, 2])
def test_the_pushrods_get_what_both_bands_let_by_angle_by_angle(variant, names, point):
    made = wired(variant)
    solution = solve(made.network)
    node = made.topology.nodes.index("block.lifter_gallery")
    mu, rho = float(made.network.mu[point]), float(made.network.rho[point])
    expected = sum(
        by_hand(variant, names, role, solution.pressure[point, node], mu, rho)
        for role in ("intake", "exhaust")
    )
    found = facts_of(variant).column(f"top_end_flow.{POINTS[point]}")[0] / 8
    assert found == pytest.approx(expected, rel=3e-3)


def test_it_does_not_matter_which_band_is_called_the_second():
    facts = facts_of(TWO, TURNED)
    for name in (f"top_end_flow{IDLE}", f"gallery_pressure{IDLE}", f"first_oil{IDLE}"):
        one, other = facts.column(name)
        assert one == pytest.approx(other, rel=1e-6)
    for name in ("fed_share", "cut_off_lift", "primed_share"):
        one, other = facts.column(name)
        assert one == other


def test_a_second_band_feeds_the_rockers_more_and_no_later():
    facts = facts_of(TWO, FIRST)
    two, one = facts.column(f"top_end_flow{IDLE}")
    assert two > one
    soon, late = facts.column(f"first_oil{IDLE}")
    assert soon <= late


def shares(low, high):
    """Share of the turn in which a band from `low` to `high`, in, stands open; by hand from the heights."""
    cam = REFERENCE.at("camshaft", 0)
    lift = lift_at(even_angles(720), lobe(*(cam[f"intake_{name}"] for name in CARD))) / INCH
    return (0.55 + lift + low < 1.83) & (0.55 + lift + high > 1.43)


def test_the_turn_is_fed_while_either_band_stands_at_the_gallery():
    upper, lower = shares(1.21, 1.30), shares(1.00, 1.09)
    assert lower.mean() > 0.95 > upper.mean()
    facts = facts_of(TWO, FIRST, APART)
    assert facts.column("fed_share") == pytest.approx(
        [(upper | lower).mean(), upper.mean(), lower.mean()], abs=2e-3
    )
    assert facts.column("second_fed_share")[::2] == pytest.approx([lower.mean()] * 2, abs=2e-3)
    assert facts.column("second_fed_share")[1] is None
    assert facts.column("primed_share") == facts.column("fed_share")


def test_the_band_that_leaves_last_tells_where_the_lifter_is_cut_off():
    # By hand: the upper one's lower edge passes 1.83 at 1.83 - 0.55 - 1.21 = 0.07 in, the lower one's at 0.28 in (the
    # exhaust lobe's nose; moved up by 0.02 in it leaves at 0.26 in).
    higher = engine({"lifter.second_band_from": 1.02 * INCH, "lifter.second_band_to": 1.11 * INCH}, TWO)
    far_below = engine({"lifter.second_band_from": 0.45 * INCH, "lifter.second_band_to": 0.55 * INCH}, TWO)
    first, moved, unfed = facts_of(FIRST, higher, far_below).column("cut_off_lift")
    assert first == pytest.approx(0.07 * INCH, rel=1e-6)
    assert moved == pytest.approx(0.26 * INCH, rel=1e-6)
    assert unfed == first


def test_bands_apart_leave_the_plunger_to_the_first_and_the_pushrod_to_the_second():
    below = {"second_band_from": 0.45 * INCH, "second_band_to": 0.55 * INCH}
    unfed = engine({f"lifter.{name}": value for name, value in below.items()}, APART)
    facts = facts_of(unfed, APART)
    assert facts.column("ways_to_lifter") == (1.0, 1.0)
    assert facts.column("primed_share")[0] == facts.column("second_fed_share")[0] == 0.0
    starved, fed = facts.column(f"valve_flow{IDLE}")
    assert starved < 0.1 * fed


FLOATING = {"settings.preload": -60 * 25.4e-6}


@pytest.mark.parametrize(
    "variant",
    [
        TWO,
        TURNED,
        APART,
        FIRST,
        engine({"lifter": "BW-240"} | FLOATING),
        engine({"lifter": "BW-242"} | FLOATING),
    ],
    ids=["two", "turned", "apart", "one", "two, disc floating", "apart, disc floating"],
)
def test_the_rungs_of_a_way_by_two_bands_add_up(variant):
    made = wired(variant, REFERENCE)
    solution = solve(made.network)
    rungs = ladder(made, solution, 0)
    node = made.topology.nodes.index(made.topology.gauge)
    whole = solution.pressure[:, node].reshape(made.shape)
    assert_allclose(sum(rung.drop for rung in rungs), whole, rtol=5e-3)
    fed = {rung.passage for rung in rungs if rung.slot == "lifter" and rung.drop[0, 0] > 0}
    second = {"second_window", "second_band_way", "second_feed_hole"}
    assert fed & second == (set() if variant in (TURNED, FIRST) else second)


def test_a_way_told_by_the_second_band_ends_where_that_ends():
    shut = engine({"lifter.second_feed_hole": 0.0}, APART)
    assert facts_of(shut, REFERENCE).column("way_up_ends_at") == ("lifter.partition", None)
    closed = engine({"rocker.oil_hole": 0.0}, APART)
    assert facts_of(closed, REFERENCE).column("way_up_ends_at") == ("rocker.oil_hole", None)


def test_a_plan_runs_the_second_band_beside_the_first():
    made = topology(wired(TWO).engines.plan, VOCABULARY.kinds)
    sided = [chain for chain in made.chains if chain.side]
    assert len(sided) == 16
    for chain in sided:
        first, last = chain.beside
        assert [w.passage for w in chain.ways[first:last]] == ["window", "band_way", "feed_hole", "partition"]
        assert [w.passage for w in chain.side] == ["second_window", "second_band_way", "second_feed_hole"]
        assert chain.rows == (chain.ways, (*chain.ways[:first], *chain.side, *chain.ways[last:]))
        assert {chain.side[0].tail, chain.side[-1].head} == {chain.ways[first].tail, chain.ways[last].tail}


def test_the_demo_lifters_are_what_these_figures_take():
    for name in ("BW-240", "BW-242"):
        lifter = part(name)
        assert [round(lifter[edge] / INCH, 3) for edge in ("band_from", "band_to")] == [1.21, 1.30]
        assert [round(lifter[f"second_{edge}"] / INCH, 3) for edge in ("band_from", "band_to")] == [
            1.00,
            1.09,
        ]
