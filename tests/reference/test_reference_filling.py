"""How long an empty way takes to fill, beside Washburn's law and the same equation integrated by scipy."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from upfeed.physics.filling import FINE, fronts, time_to_fill
from upfeed.physics.holes import bore, bore_volume
from upfeed.physics.resistance import Resistance, flow, in_series

MU, RHO = 0.0085, 830.0


def test_a_bore_fills_as_washburn_says():
    """Washburn 1921, a tube pushed full by a constant pressure: l² = p r² t/(4 mu); no ends' loss."""
    diameter, length, pressure = 3e-3, 0.2, 1e5
    friction = bore(diameter, length).a
    flows = [pressure / (friction * share * MU) for share in fronts(FINE)]
    washburn = 4 * MU * length**2 / (pressure * (diameter / 2) ** 2)
    assert time_to_fill(bore_volume(diameter, length), flows) == pytest.approx(washburn, rel=1e-12)


def test_a_full_turn_of_a_jug():
    """A litre at a litre in fifty seconds takes fifty seconds, by definition."""
    assert time_to_fill(1e-3, [2e-5 for _ in fronts(FINE)]) == pytest.approx(50.0, rel=1e-12)


@pytest.mark.parametrize("mu", [0.0085, 0.2, 3.5])
@pytest.mark.parametrize("ahead", [0.0, 1e9, 3e12])
def test_a_bore_behind_a_tight_place_fills_as_scipy_integrates_it(mu, ahead):
    """dV/dt = Q(V): resistance ahead of it, the bore's friction as far as the front, the ends' loss whole."""
    way, pressure, volume = bore(3e-3, 0.2), 2e5, bore_volume(3e-3, 0.2)
    before = Resistance(np.array(ahead), np.array(0.0))

    def through(share):
        return flow(pressure, in_series(before, Resistance(way.a * share, way.b)), mu, RHO)

    found = time_to_fill(volume, [through(share) for share in fronts(FINE)])
    # No oil at all is no state to start from; the first 1e-9 of the way is.
    run = solve_ivp(
        lambda _, filled: [through(filled[0] / volume)],
        (0.0, 10 * found),
        [1e-9 * volume],
        events=_full(volume),
        method="LSODA",
        rtol=1e-10,
        atol=1e-18,
    )
    # Three nodes: within a thousandth, worst where nothing is ahead and inertia passes into friction on the way.
    assert found == pytest.approx(run.t_events[0][0], rel=1e-3)


def _full(volume):
    def event(_, filled):
        return filled[0] - volume

    event.terminal = True
    return event


def test_where_nothing_flows_it_never_fills_and_nothing_to_fill_takes_no_time():
    still = [np.zeros(2) for _ in fronts(FINE)]
    assert time_to_fill(np.array([1e-6, 0.0]), still).tolist() == [np.inf, 0.0]
