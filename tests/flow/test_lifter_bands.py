"""What a lifter's band, its depth and the cut for its wheel do to the solved engine."""

import math

import numpy as np
import pytest

from tarn_v8 import REFERENCE, engine, facts_of, part, wired
from upfeed.flow.ladder import ladder
from upfeed.flow.solve import solve

INCH, MM = 25.4e-3, 1e-3
IDLE = ".hot_idle"
DEPTHS = [0.05, 0.1, 0.2, 0.4, 0.8, 1.6, 3.2, 6.0]


def with_depths(depths):
    return facts_of(*(engine({"lifter.band_depth": depth * MM}) for depth in depths), REFERENCE)


def test_a_shallow_band_throttles_and_a_deep_one_changes_nothing():
    shallow, deep, deepest, reference = with_depths([0.1, 3.0, 6.0]).column(f"valve_flow{IDLE}")
    assert shallow < 0.6 * reference
    assert deep == pytest.approx(reference, rel=2e-3)
    assert deepest == pytest.approx(deep, rel=1e-4)


def test_a_deeper_band_never_passes_less():
    flows = with_depths(DEPTHS).column(f"valve_flow{IDLE}")[:-1]
    assert list(flows) == sorted(flows)
    assert flows[0] < flows[-1]


def test_a_band_of_no_depth_shuts():
    flows = facts_of(engine({"lifter.band_depth": 0.0}), REFERENCE).column(f"valve_flow{IDLE}")
    assert flows[0] == 0.0 < flows[1]


def test_the_way_round_the_band_drops_as_two_plates_do():
    # A band that never leaves the gallery, behind it an orifice so tight that the flow never changes. Plane Poiseuille
    # flow (textbook): dp = 12 mu Q (pi D/2)/(2 w t³), both ways round at once.
    low, high, depth = 0.80 * INCH, 1.50 * INCH, 0.1 * MM
    sizes = {"band_from": low, "band_to": high, "band_depth": depth}
    steady = {"metering": "orifice", "metering_orifice": 0.2 * MM, "orifice_length": 1 * MM}
    made = wired(engine({f"lifter.{name}": value for name, value in (sizes | steady).items()}), REFERENCE)
    solution = solve(made.network)
    rung = next(r for r in ladder(made, solution, 0) if r.passage == "band_way")
    number = next(i for i, b in enumerate(made.branches) if ("lifter", "band_way") in b.chain.steps)
    plates = 12 * math.pi * part("BW-118")["body_diameter"] / 2 / (2 * (high - low) * depth**3)
    expected = plates * made.network.mu * solution.flow[:, number]
    np.testing.assert_allclose(rung.drop[0], expected[: len(rung.drop[0])], rtol=6e-3)


# The cut for the wheel: gallery 1.63 in, 0.40 in wide, base circle 0.55 in, lobes 0.275 and 0.280 in. It reaches the
# hole's lower edge at full lift from 1.43 - 0.83 = 0.60 in on (exhaust), on the base circle from 0.88 in on.


def cut(height):
    return engine({"lifter.foot": "roller", "lifter.wheel_window": height * INCH})


def test_a_cut_that_stays_below_the_bore_is_a_flat_foot():
    # Bore from 0.90 in: 0.05 in of cut comes up to 0.88.
    assert part("TN-1")["bore_bottom"] == pytest.approx(0.90 * INCH)
    facts = facts_of(cut(0.05), REFERENCE)
    for name in ("gallery_pressure", "valve_flow", "consumer_flow.lifter.land_below"):
        low, flat = facts.column(f"{name}{IDLE}")
        assert low == flat


def test_a_higher_cut_never_leaks_less():
    facts = facts_of(*(cut(h) for h in (0.3, 0.5, 0.58, 0.62, 0.7, 0.9)), REFERENCE)
    leaks = facts.column(f"consumer_flow.lifter.land_below{IDLE}")[:-1]
    assert list(leaks) == sorted(leaks)
    pressures = facts.column(f"gallery_pressure{IDLE}")[:-1]
    assert list(pressures) == sorted(pressures, reverse=True)


def test_the_gallery_bleeds_from_the_lift_on_at_which_the_cut_reaches_it():
    sealed, opened = facts_of(cut(0.59), cut(0.70)).column(f"gallery_pressure{IDLE}")
    *_, reference = facts_of(REFERENCE).column(f"gallery_pressure{IDLE}")
    assert sealed > 0.8 * reference
    assert opened < 0.5 * reference


def test_raised_bores_leak_less_past_the_land_above_the_band():
    facts = facts_of(*(engine({"block.bore_top": top * INCH}) for top in (2.15, 2.3, 2.6, 3.0)))
    leaks = facts.column(f"consumer_flow.lifter.land_above{IDLE}")
    assert list(leaks) == sorted(leaks, reverse=True)
    assert 0 < leaks[-1] < leaks[0]
