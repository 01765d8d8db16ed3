"""How long timed passages stand open, by hand and by counting angles."""

import numpy as np
import pytest

from tarn_v8 import CARD, REFERENCE, engine, engine_at, even_angles, part, wired
from upfeed.flow.openings import cut_off_lift, fed_share, rocker_open_share
from upfeed.physics.timing import lift_at, lobe, window_area

INCH, MM = 25.4e-3, 1e-3
ONE_ANGLE = 1 / 720


def lift_over_angles(camshaft, role, count=7200):
    return lift_at(even_angles(count), lobe(*(part(camshaft)[f"{role}_{name}"] for name in CARD)))


@pytest.mark.parametrize("camshaft", ["QC-212", "QC-226"])
@pytest.mark.parametrize("lifter", ["BW-118", "BW-204"])
@pytest.mark.parametrize(("valve", "role"), [(0, "intake"), (15, "exhaust")])
def test_fed_share_counts_the_angles_with_an_open_window(camshaft, lifter, valve, role):
    block, body = part("TN-1"), part(lifter)
    foot = part(camshaft)["base_circle_radius"] + lift_over_angles(camshaft, role)
    area = window_area(
        foot, body["band_from"], body["band_to"], block["gallery_height"], block["gallery_diameter"]
    )
    share, known = fed_share(wired(engine({"camshaft": camshaft, "lifter": lifter})), valve)
    assert known.tolist() == [True]
    assert share[0] == pytest.approx(np.mean(area > 0), abs=2 * ONE_ANGLE)
    assert 0 < share[0] < 1


def test_cut_off_lift_by_hand():
    # Gallery at 1.63 in, 0.40 in wide, base circle 0.55 in; bands from 1.05 and 1.21 in: 0.23 and 0.07 in.
    lift, known = cut_off_lift(wired(REFERENCE, engine({"lifter": "BW-204"})), 0)
    assert known.tolist() == [True, True]
    assert lift == pytest.approx([0.23 * INCH, 0.07 * INCH], abs=1e-9)


def test_a_band_that_never_leaves_has_no_cut_off():
    low = engine({"camshaft.intake_lift": 0.22 * INCH})
    lift, known = cut_off_lift(wired(low, REFERENCE), 0)
    assert known.tolist() == [False, True]
    assert lift[1] == pytest.approx(0.23 * INCH)
    # The exhaust lobe of that camshaft still lifts 0.280 in.
    assert cut_off_lift(wired(low), 1)[1].tolist() == [True]
    assert fed_share(wired(low), 0)[0].tolist() == [1.0]


def test_a_blind_lifter_is_fed_all_the_same():
    (share, reference), known = fed_share(wired(engine({"lifter": "BW-121"}), REFERENCE), 0)
    assert known.tolist() == [True, True]
    assert share == reference


def test_rocker_open_share_counts_the_angles_of_overlap():
    # The middles part by 4 mm x lift / 25 mm; holes of 0.8 and 1.0 mm overlap while that is below 0.9 mm.
    sizes = {
        "rocker.oil_hole": 0.8 * MM,
        "pushrod.tip_hole": 1.0 * MM,
        "rocker.rest_offset": 0.0,
        "pushrod.ball_diameter": 8 * MM,
        "rocker.arm": 25 * MM,
    }
    lift = lift_over_angles("QC-212", "intake")
    share, known = rocker_open_share(wired(engine(sizes), REFERENCE), 0)
    assert known.tolist() == [True, True]
    assert share[0] == pytest.approx(np.mean(4 / 25 * lift < 0.9 * MM), abs=2 * ONE_ANGLE)
    assert 0.6 < share[0] < 1
    # Reference: 0.010 + 0.15625 x 0.275 / 1.00 = 0.053 in at most, below (0.045 + 0.095)/2 = 0.070 in.
    assert share[1] == 1.0


def test_a_closed_rocker_is_never_open():
    share, known = rocker_open_share(wired(engine({"rocker": "HM-45"}), REFERENCE), 0)
    assert share.tolist() == [0.0, 1.0]
    assert known.tolist() == [True, True]


def test_an_odd_lifter_has_its_own_share():
    circuit = wired(engine_at(4, {"lifter": "BW-204"}))
    narrow = wired(engine({"lifter": "BW-204"}))
    assert fed_share(circuit, 4)[0] == fed_share(narrow, 4)[0]
    assert fed_share(circuit, 6)[0] == fed_share(wired(REFERENCE), 6)[0]
    assert fed_share(circuit, 4)[0] < fed_share(circuit, 6)[0]
