"""The cam's turn in weighted states, against integrals over the angle; hot preload by hand."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.integrate import quad

from tarn_v8 import CARD, PLAN, POINTS, REFERENCE, engine, engines, part
from upfeed.flow.lobes import lobes_of
from upfeed.flow.preload import preload_left
from upfeed.flow.turns import base_circle_radius, turn_of_engine, turn_of_valve
from upfeed.physics.timing import lift_at, lobe

INCH, THOU = 25.4e-3, 25.4e-6
INTAKE, EXHAUST = 0, 1


def lobe_by_hand(cam, role):
    return lobe(*(part(cam)[f"{role}_{name}"] for name in CARD))


def turn(variant=REFERENCE, valve=INTAKE):
    return turn_of_valve(engines(variant), valve)


@pytest.mark.parametrize("camshaft", ["QC-212", "QC-226"])
@pytest.mark.parametrize(("valve", "role"), [(INTAKE, "intake"), (EXHAUST, "exhaust")])
@pytest.mark.parametrize("power", [1, 2, 5])
def test_means_over_the_turn_are_those_over_the_angle(camshaft, valve, role, power):
    states = turn(engine({"camshaft": camshaft}), valve)
    shape = lobe_by_hand(camshaft, role)
    whole, _ = quad(lambda phi: float(lift_at(phi, shape)) ** power, -np.pi, np.pi, points=[0.0], limit=200)
    found = float((states.weight * states.values["lift"] ** power).sum())
    assert found == pytest.approx(whole / (2 * np.pi), rel=1e-4)


def test_the_first_state_is_the_base_circle_with_all_its_share():
    states, shape = turn(), lobe_by_hand("QC-212", "intake")
    assert states.values["lift"][0, 0, 0] == 0.0
    assert (states.values["lift"][0, 0, 1:] > 0).all()
    assert states.values["base_circle"][0, 0].tolist() == [1.0] + [0.0] * (states.weight.shape[2] - 1)
    angles = np.linspace(-np.pi, np.pi, 100_001)
    assert states.weight[0, 0, 0] == pytest.approx(np.mean(lift_at(angles, shape) == 0), abs=2e-5)
    assert states.weight.sum() == pytest.approx(1.0, rel=1e-12)


def test_the_foot_stands_a_lift_above_the_base_circle():
    made = engines(REFERENCE, engine({"camshaft.base_circle_radius": 12e-3}))
    states = turn_of_valve(made, INTAKE)
    lift, foot = states.values["lift"], states.values["foot"]
    assert_allclose(foot[0] - lift[0], 0.550 * INCH, rtol=1e-12)  # as the cam's card says
    assert_allclose(foot[1] - lift[1], 12e-3, rtol=1e-12)
    assert base_circle_radius(made).ravel() == pytest.approx([0.550 * INCH, 12e-3])
    # Half a state short of the nose, the lift is its own to a ten-thousandth.
    assert lift.max() == pytest.approx(0.275 * INCH, rel=1e-4)


def test_each_valve_turns_with_the_lobe_of_its_role():
    made = engines(REFERENCE)
    for valve, (_, role) in enumerate(PLAN.valves):
        assert float(lobes_of(made, valve).lift()[0, 0, 0]) == part("QC-212")[f"{role}_lift"]


def test_the_engines_own_turn_is_even():
    states = turn_of_engine(engines(REFERENCE, REFERENCE))
    phase = states.values["phase"][1, 0]
    assert_allclose(np.diff(phase), 1 / len(phase), rtol=1e-9)
    assert phase[0] == pytest.approx(1 - phase[-1])
    assert_allclose(states.weight.sum(axis=2), 1.0, rtol=1e-12)


# Preload


def preload_by_hand(cold, block, head, rod, valve, grows, assembled=20.0):
    """Expansion as in the table of `EXPANSION`, 1e-6 per K; lengths in inches as the catalogue has them; thou.

    The valve and the head's growth past it go through the rocker, 1.5 to 1.
    """
    opens = 11.4e-3 * 6.000 * (block - assembled) + 11.4e-3 * 4.285 * (head - assembled)
    follows = 11.7e-3 * 7.800 * (rod - assembled)
    follows += (11.4e-3 * 1.800 + 11.7e-3 * 0.550) * (block - assembled)  # lifter, lobe
    tip = grows * 1e-3 * 4.900 * (valve - assembled) - 11.4e-3 * 4.285 * (head - assembled)
    return cold + (follows - opens + tip / 1.5) * THOU


@pytest.mark.parametrize(
    ("valve", "grows", "valves"),
    [(INTAKE, 12.0, (130, 150, 180, -10)), (EXHAUST, 17.5, (220, 300, 380, -10))],
)
def test_hot_preload_by_hand(valve, grows, valves):
    found = preload_left(engines(REFERENCE), valve)
    temperatures = [(95, 105, 100), (95, 110, 102), (105, 125, 116), (-10, -10, -10)]
    expected = [
        preload_by_hand(25 * THOU, *warm, hot, grows) for warm, hot in zip(temperatures, valves, strict=True)
    ]
    assert found.shape == (1, len(POINTS))
    assert found[0] == pytest.approx(expected, abs=1e-3 * THOU)


def test_an_aluminium_head_takes_some_six_thou_off():
    # The catalogue of the demo says so; 4.285 in, 10.1e-6 per K more than iron, 85 K: 3.68 thou at the pivot, and again
    # over 1.5 as it rises past the valve: 6.13.
    iron, aluminium = (
        preload_left(engines(engine({"cylinder_head.material": material})), INTAKE)[0, 0]
        for material in ("grey_iron", "aluminium_alloy")
    )
    assert iron - aluminium == pytest.approx(6.13 * THOU, rel=0.002)


def test_a_disc_is_seated_where_preload_is_left_hot_and_nowhere_else():
    lost = 25 * THOU - preload_left(engines(REFERENCE), EXHAUST)[0]
    for thou in (-60, -15, -12, -8, -5, 0, 0.5, 1, 25):
        made = engines(REFERENCE, engine({"settings.preload": thou * THOU}))
        seated = turn_of_valve(made, EXHAUST).values["seated"]
        assert seated[0, :, 0].tolist() == [1.0] * len(POINTS)
        assert seated[1, :, 0].tolist() == [float(thou * THOU > gone) for gone in lost]
