"""The squeezed turn against every single angle: laws alone, demo parts, parts that could be."""

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from tarn_v8 import CARD, REFERENCE, engine, even_angles, over_angles, possible, wired
from upfeed.flow.squeeze import BINS, SPAN, squeeze, squeeze_beside, squeezed_weights
from upfeed.physics.branch import flow_through_pair
from upfeed.physics.resistance import Resistance, Ways, flow, resistance
from upfeed.physics.timing import lobe_exists

MU, RHO, PRESSURE = 0.0085, 830.0, 4e5
SHARES = (1 / SPAN, 1 / 8, 1 / 4, 1 / 2, 1.0)
NODES = 15 * BINS
MM, THOU = 1e-3, 25.4e-6


def squeezed(turn):
    return squeeze(turn, np.array([PRESSURE]), np.array([MU]), np.array([RHO]))


def mean_flow(law, dp):
    """Flow of the lobe's states, evenly weighted; the base circle's left out."""
    return flow(dp, Resistance(law.a[..., 1:], law.b[..., 1:]), MU, RHO).mean()


def with_base(a, b):
    """A turn of which the base circle is an ordinary passage."""
    return resistance(np.concatenate([[1e12], a]), np.concatenate([[1e12], b]))


logs = st.integers(0, 2**32 - 1).map(np.random.default_rng)


def drawn(rng, low, high):
    """A turn's worth of coefficients that wander, jump or stand still, spread over decades."""
    smooth = np.interp(np.arange(NODES), np.linspace(0, NODES, 5), rng.uniform(low, high, 5))
    return 10.0 ** (smooth + rng.choice([0.0, 1.0]) * rng.uniform(-1, 1, NODES))


# Laws alone


@given(logs, st.floats(3, 7))
def test_exact_where_all_is_viscous(rng, exponent):
    a = drawn(rng, 8, 14)
    a[rng.random(NODES) < rng.choice([0.0, 0.3, 0.9])] = np.inf
    turn = with_base(a, np.zeros(NODES))
    assert_allclose(mean_flow(squeezed(turn), 10**exponent), mean_flow(turn, 10**exponent), rtol=1e-11)


@given(logs, st.floats(3, 7))
def test_exact_where_all_is_inertial(rng, exponent):
    a = np.zeros(NODES)
    a[rng.random(NODES) < rng.choice([0.0, 0.3, 0.9])] = np.inf
    turn = with_base(a, drawn(rng, 8, 14))
    assert_allclose(mean_flow(squeezed(turn), 10**exponent), mean_flow(turn, 10**exponent), rtol=1e-11)


@given(logs, st.sampled_from([PRESSURE, PRESSURE / SPAN]))
def test_exact_at_both_pressures(rng, dp):
    turn = with_base(drawn(rng, 8, 14), drawn(rng, 8, 14))
    assert_allclose(mean_flow(squeezed(turn), dp), mean_flow(turn, dp), rtol=1e-11)


@given(logs, st.floats(0, 1))
def test_narrower_at_any_angle_never_lets_more_through(rng, share):
    a, b = drawn(rng, 8, 14), drawn(rng, 8, 14)
    tighter_a, tighter_b = a.copy(), b.copy()
    touched = rng.random(NODES) < rng.choice([0.01, 0.2, 1.0])
    tighter_a[touched] *= 10 ** rng.uniform(0, rng.choice([0.01, 4]), touched.sum())
    tighter_b[rng.permutation(touched)] *= 10 ** rng.uniform(0, rng.choice([0.01, 4]), touched.sum())
    tighter_a[rng.random(NODES) < rng.choice([0.0, 0.1])] = np.inf
    before, after = squeezed(with_base(a, b)), squeezed(with_base(tighter_a, tighter_b))
    dp = PRESSURE * SPAN ** (share - 1)
    each = flow(dp, after, MU, RHO) <= flow(dp, before, MU, RHO) * (1 + 1e-11)
    assert each.all()


def test_a_way_shut_for_half_the_turn_passes_half():
    # By the definition of a mean; a shut angle has neither coefficient, so it may not count as the widest.
    a, b = np.full(NODES, 1e11), np.full(NODES, 1e13)
    a[NODES // 2 + 7 :] = np.inf
    turn = with_base(a, b)
    for share in SHARES:
        assert_allclose(
            mean_flow(squeezed(turn), share * PRESSURE), mean_flow(turn, share * PRESSURE), rtol=1e-12
        )


def test_a_way_shut_all_over_the_lobe_stays_shut():
    turn = with_base(np.full(NODES, np.inf), np.zeros(NODES))
    through = squeezed(turn)
    assert np.isinf(through.a[1:]).all()
    assert (through.b[1:] == 0).all()


def test_the_base_circle_is_kept_as_it_is():
    turn = with_base(np.full(NODES, 1e13), np.full(NODES, 1e14))
    assert (squeezed(turn).a[0], squeezed(turn).b[0]) == (1e12, 1e12)


def test_weights_of_states_bound_together_add_up():
    weights = np.concatenate([[0.6], np.full(NODES, 0.4 / NODES)])
    assert_allclose(squeezed_weights(weights), [0.6, *[0.4 / BINS] * BINS], rtol=1e-14)
    assert squeezed_weights(weights).sum() == pytest.approx(1.0, rel=1e-14)


# Whole ways, beside every single angle


def in_states(circuit, case, branch, dp):
    """Mean flow of a branch of the circuit over its squeezed states."""
    net = circuit.network
    row = Resistance(net.series.a[case, branch], net.series.b[case, branch])
    mu, rho = net.mu[case], net.rho[case]
    if branch in net.paired:
        at = case, int(np.flatnonzero(net.paired == branch)[0])
        pair = [Resistance(way.a[at], way.b[at]) for way in (net.first, net.second)]
        through = flow_through_pair(dp, row, *pair, mu, rho)[0]
    else:
        through = flow(dp, row, mu, rho)
    return float(net.weight[case, branch] @ through)


def branch_of(circuit, passage, valve):
    return next(
        i
        for i, branch in enumerate(circuit.branches)
        if valve in branch.valves and ".".join(branch.chain.steps[-1]) == passage
    )


@pytest.mark.parametrize("camshaft", ["QC-212", "QC-226"])
@pytest.mark.parametrize("lifter", ["BW-118", "BW-110", "BW-126", "BW-133", "BW-131", "BW-204"])
@pytest.mark.parametrize(("preload", "seated"), [(25 * THOU, 1.0), (-60 * THOU, 0.0)])
def test_demo_parts_are_within_three_in_a_thousand(camshaft, lifter, preload, seated):
    variant = engine({"camshaft": camshaft, "lifter": lifter, "settings.preload": preload})
    circuit = wired(variant)
    net = circuit.network
    for case, (mu, rho) in enumerate(zip(net.mu, net.rho, strict=True)):
        for valve, role in enumerate(("intake", "exhaust")):
            for share in SHARES:
                dp = share * net.relief_opens[case]
                expected = over_angles(variant, role, even_angles(720), dp, mu, rho, seated)
                for passage, through in expected.items():
                    found = in_states(circuit, case, branch_of(circuit, passage, valve), dp)
                    assert found == pytest.approx(through.mean(), rel=3e-3, abs=0), (
                        case,
                        role,
                        share,
                        passage,
                    )


def between(kind, attribute):
    return st.floats(*possible(kind, attribute))


def logarithmic(low, high):
    return st.floats(math.log(low), math.log(high)).map(math.exp)


cards = st.fixed_dictionaries(
    {
        "camshaft.base_circle_radius": st.floats(10 * MM, 20 * MM),
        "camshaft.intake_lift": st.floats(5 * MM, 12 * MM),
        "camshaft.intake_low_lift": st.floats(0.05 * MM, 0.3 * MM),
        "camshaft.intake_low_duration": st.floats(math.radians(200), math.radians(340)),
        "camshaft.intake_high_lift": st.floats(0.8 * MM, 1.6 * MM),
        "camshaft.intake_high_duration": st.floats(math.radians(120), math.radians(300)),
    }
).filter(lambda card: bool(lobe_exists(*(card[f"camshaft.intake_{name}"] for name in CARD))))
sizes = st.fixed_dictionaries(
    {
        "lifter.band_from": st.floats(20 * MM, 40 * MM),
        "band_width": st.floats(1 * MM, 10 * MM),
        "block.gallery_diameter": st.floats(3 * MM, 12 * MM),
        "gallery_offset": st.floats(-0.95, 0.95),
        "clearance": logarithmic(5e-6, 100e-6),
        "lifter.feed_hole": between("lifter", "feed_hole"),
        "lifter.cup_hole": between("lifter", "cup_hole"),
        "lifter.notch_area": logarithmic(*possible("lifter", "notch_area")),
        "lifter.disc_rise": logarithmic(*possible("lifter", "disc_rise")),
        "lifter.metering_orifice": logarithmic(0.1 * MM, 4 * MM),
        "pushrod.bore": st.floats(1 * MM, 12 * MM),
        "pushrod.tip_hole": between("pushrod", "tip_hole"),
        "pushrod.ball_diameter": st.floats(6 * MM, 12 * MM),
        "rocker.oil_hole": between("rocker", "oil_hole"),
        "rocker.arm": st.floats(15 * MM, 50 * MM),
        "rocker.rest_offset": st.floats(-3 * MM, 3 * MM),
        "oil.viscosity_100": logarithmic(3e-6, 30e-6),
        "points.oil_temperature": st.floats(253.15, 403.15),
        "settings.preload": st.sampled_from([-60 * THOU, 25 * THOU]),
    }
)


def possible_engine(card, size, metering):
    """An engine of drawn parts; its band stands before the gallery, on the base circle, by the offset drawn."""
    size = dict(size)
    width, offset = size.pop("band_width"), size.pop("gallery_offset")
    reach = (width + size["block.gallery_diameter"]) / 2
    middle = card["camshaft.base_circle_radius"] + size["lifter.band_from"] + width / 2
    changes = {
        "lifter": {"disc": "BW-118", "orifice": "BW-131"}[metering],
        **card,
        "lifter.band_to": size["lifter.band_from"] + width,
        "block.gallery_height": middle + offset * reach,
        "lifter.body_diameter": 21.4 * MM,
        "block.lifter_bore": 21.4 * MM + size.pop("clearance"),
        "oil.viscosity_40": 7 * size["oil.viscosity_100"],
        **size,
    }
    return engine(changes)


@pytest.mark.no_cover
@given(cards, sizes, st.sampled_from(["disc", "orifice"]), st.sampled_from(SHARES))
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_possible_parts_are_within_three_in_a_thousand(card, size, metering, share):
    found, through, angles = both_ways(card, size, metering, share)
    # A way that the base circle feeds; what opens for a short part of the turn only is tested below.
    assume(through[0] > 0.1 * through.mean())
    assert angles == 7200
    assert found == pytest.approx(through.mean(), rel=3e-3, abs=0)


@pytest.mark.no_cover
@given(cards, sizes, st.sampled_from(["disc", "orifice"]), st.sampled_from(SHARES), st.floats(0.05, 0.95))
@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_ways_that_open_in_mid_lift_only_are_within_five_in_a_hundred(card, size, metering, share, opens_at):
    # The rocker's hole lies so far off at rest that it meets the pushrod's at this share of the lift.
    swing = size["pushrod.ball_diameter"] / 2 * card["camshaft.intake_lift"] / size["rocker.arm"]
    reach = (size["rocker.oil_hole"] + size["pushrod.tip_hole"]) / 2
    found, through, _ = both_ways(
        card, {**size, "rocker.rest_offset": -reach - opens_at * swing}, metering, share
    )
    assert through[0] == 0
    # Oil that comes in less than a twentieth of the turn, and next to none of it, may be further off.
    assume(np.mean(through > 0.01 * through.max()) > 0.05)
    # Nor does it matter how little next to nothing is: a rocker of the demo gets some 600 times as much.
    assume(through.mean() > 1e-9)
    assert found == pytest.approx(through.mean(), rel=0.05, abs=0)


def both_ways(card, size, metering, share):
    """Flow up the pushrod in squeezed states and at 7200 angles, at a share of the relief's opening."""
    variant = possible_engine(card, size, metering)
    circuit = wired(variant, points=("hot_idle",))
    net = circuit.network
    dp, seated = share * net.relief_opens[0], float(size["settings.preload"] > 0)
    angles = even_angles(7200)
    single = over_angles(variant, "intake", angles, dp, net.mu[0], net.rho[0], seated)["rocker.oil_hole"]
    return in_states(circuit, 0, branch_of(circuit, "rocker.oil_hole", 0), dp), single, len(angles)


def test_a_rocker_hole_that_leaves_the_pushrod_hole_in_mid_lift():
    # Both holes part at 0.9 mm; the ball's radius of 4 mm over an arm of 25 mm gets there at 5.6 mm of lift.
    variant = engine({"rocker.oil_hole": 0.8 * MM, "pushrod.tip_hole": 1.0 * MM, "rocker.rest_offset": 0.0})
    circuit = wired(variant)
    net = circuit.network
    for case in range(len(net.mu)):
        for share in SHARES:
            dp = share * net.relief_opens[case]
            single = over_angles(variant, "intake", even_angles(7200), dp, net.mu[case], net.rho[case], 1.0)
            through = single["rocker.oil_hole"]
            assert 0 < np.count_nonzero(through == 0) < 3600
            found = in_states(circuit, case, branch_of(circuit, "rocker.oil_hole", 0), dp)
            assert found == pytest.approx(through.mean(), rel=3e-3, abs=0)


def test_the_reference_is_seated_and_fed_on_the_base_circle():
    # What the tests above lean on: lift is nought over more than half the turn, and the notch is open there.
    single = over_angles(REFERENCE, "intake", even_angles(720), 2e5, MU, RHO, 1.0)["rocker.oil_hole"]
    assert np.count_nonzero(single == single[0]) > 360
    assert single[0] > 0


@given(logs)
@settings(max_examples=60)
def test_rows_side_by_side_are_squeezed_as_what_both_let_by_at_each_angle(rng):
    laws = [with_base(drawn(rng, 10, 13), drawn(rng, 11, 15)) for _ in range(3)]
    row, beside = laws[0], Ways(*laws[1:])
    oil = np.array([PRESSURE]), np.array([MU]), np.array([RHO])
    made = squeeze_beside(row, beside, *oil)
    for share in (1 / SPAN, 1.0):
        dp = share * PRESSURE
        expected = flow_through_pair(dp, row, *beside, MU, RHO)[0]
        found = flow(dp, made, MU, RHO)
        assert_allclose(found[0], expected[0], rtol=1e-9)
        assert_allclose(found[1:].mean(), expected[1:].mean(), rtol=1e-9)


def test_a_row_beside_one_that_is_shut_is_squeezed_as_if_alone():
    rng = np.random.default_rng(7)
    row, alone = (with_base(drawn(rng, 10, 13), drawn(rng, 11, 15)) for _ in range(2))
    shut = resistance(np.full(1 + NODES, np.inf), np.zeros(1 + NODES))
    oil = np.array([PRESSURE]), np.array([MU]), np.array([RHO])
    made = squeeze_beside(row, Ways(alone, shut), *oil)
    expected = squeezed(Resistance(row.a + alone.a, row.b + alone.b))
    assert_allclose(flow(PRESSURE, made, MU, RHO), flow(PRESSURE, expected, MU, RHO), rtol=1e-9)
