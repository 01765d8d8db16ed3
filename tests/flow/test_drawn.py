"""Facts in every draw: the same engine twice, tighter tolerances, both limits of trapped air, what is not drawn."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from upfeed.flow.bands import Pairs
from upfeed.flow.drawn import drawn
from upfeed.flow.survey import survey

COUNT = 32
FACTS = ("gallery_pressure.hot_idle", "worst_valve_flow.hot_idle", "top_end_share.cruise", "fed_share")


@pytest.fixture(scope="module")
def made(library, sheet_of):
    def draw(build=None, count=COUNT, **more):
        of = survey(sheet_of(build, **more), library.knowledge, library.vocabulary)
        return drawn(of, library.vocabulary, count)

    return draw


def pairs(of, name):
    return Pairs(of.count, of.known(name, 0), of.known(f"reference.{name}", 0))


@pytest.mark.parametrize("family", ["tarn-v8", "dunmere-six", "calder-roller-v8", "ashquill-twin"])
def test_a_reference_is_exactly_itself_in_every_draw(made, family):
    same = made(family=family)
    for name in FACTS:
        both = pairs(same, name)
        assert both.build == both.reference
        assert both.ratio_band == (1.0, 1.0)
        assert set(same.known(f"ratio.{name}", 0)) == {1.0}


def test_what_is_shared_leaves_the_ratio_narrower_than_the_number(made):
    other = pairs(made(slots={"lifter": "BW-126"}), "gallery_pressure.hot_idle")
    low, high = other.band
    near, far = other.ratio_band
    assert high / low > 1.2
    assert far / near < 1.1


def with_one_spread(of, slot, name, size):
    """A survey whose build is exact in all but one value."""

    def exact(where, has):
        return {
            n: replace(value, plus_minus=size if (where, n) == (slot, name) else None)
            for n, value in has.items()
        }

    fitted = {
        where: tuple(replace(part, has=exact(where, part.has)) for part in row)
        for where, row in of.build.fitted.items()
    }
    points = {point: exact(point, has) for point, has in of.build.points.items()}
    settings = exact("settings", of.build.settings)
    return replace(of, build=replace(of.build, fitted=fitted, points=points, settings=settings))


@settings(max_examples=12)
@given(
    of_one=st.sampled_from(
        [
            ("lifter", "notch_area", 1e-8),
            ("block", "main_clearance", 3e-5),
            ("oil_pump", "displacement", 5e-7),
            ("hot_idle", "oil_temperature", 20.0),
            ("lifter", "band_from", 1e-3),
        ]
    ),
    tighter=st.floats(0.0, 1.0),
)
def test_a_tighter_tolerance_of_one_value_never_widens_a_band(library, sheet_of, of_one, tighter):
    """The draws are the same, nearer to their middle, and flows rise or fall all through them."""
    slot, name, size = of_one
    of = survey(sheet_of(slots={"lifter": "BW-126"}), library.knowledge, library.vocabulary)
    nothing_else = replace(library.vocabulary, spreads={})
    wide, narrow = (
        drawn(with_one_spread(of, slot, name, s), nothing_else, 16) for s in (size, size * tighter)
    )
    for fact in ("gallery_pressure.hot_idle", "worst_valve_flow.hot_idle"):
        outer, inner = pairs(wide, fact).band, pairs(narrow, fact).band
        assert outer[0] < outer[1]
        assert outer[0] <= inner[0] <= inner[1] <= outer[1]


@settings(max_examples=6)
@given(tighter=st.floats(0.0, 0.9))
def test_tighter_tolerances_of_a_lifter_never_widen_its_flow(made, tighter):
    def band(share):
        sizes = {"notch_area": ("0.042 mm2", "mm2", 0.004), "feed_hole": ("0.066 in", "in", 0.002)}
        has = {n: {"is": w, "plus_minus": f"{d * share:.6f} {u}"} for n, (w, u, d) in sizes.items()}
        other = made(slots={"lifter": {"part": "BW-126", "has": has}}, count=16)
        return np.ptp(pairs(other, "worst_valve_flow.hot_idle").ratio_band)

    assert band(tighter) <= band(1.0)


def test_both_limits_of_trapped_air_are_drawn_and_bounded(made):
    six = made(family="dunmere-six")
    assert len(six.limits) == 2
    column = np.reshape(six.known("top_end_flow.hot_idle", 0), (2, COUNT))
    assert np.all(column[1] < column[0])
    low, high = pairs(six, "top_end_flow.hot_idle").band
    ends = np.quantile(column, (0.05, 0.95), axis=1)
    assert (low, high) == pytest.approx((ends[0, 1], ends[1, 0]), rel=1e-7)


def test_values_names_and_words_are_read_draw_by_draw(made):
    other = made(slots={"lifter": "BW-126"})
    holes, designed = other.known("lifter.feed_hole", 0), other.known("reference.lifter.feed_hole", 0)
    assert len(set(holes)) == COUNT
    assert min(holes) > max(designed)
    assert set(other.known("lifter.metering", 0)) == {"disc"}
    assert len(set(other.known("lifter.name", 0))) == 1
    assert other.known("lifter.name", 0) != other.known("reference.lifter.name", 0)
    assert other.known("settings.preload", 0) == other.known("reference.settings.preload", 0)


def test_a_coarser_look_at_the_lobe_moves_no_flow_by_more_than_a_thousandth(made, library, sheet_of):
    has = {"feed_hole": {"is": "0.052 in", "plus_minus": "0 in"}}
    sheet = sheet_of(slots={"lifter": {"part": "BW-118", "has": has}})
    fine = survey(sheet, library.knowledge, library.vocabulary)
    coarse = drawn(fine, library.vocabulary, 1)
    for name in ("gallery_pressure.hot_idle", "worst_valve_flow.hot_idle", "top_end_flow.cold_start"):
        of_reference = coarse.limits[0].column(name)[-1]  # as given, after all draws
        assert of_reference == pytest.approx(fine.known(f"reference.{name}", 0)[0], rel=1e-3)


def test_nothing_is_drawn_of_what_is_not_known(made):
    assert made(count=0) is None
    assert made(slots={"lifter": {"part": "BW-118", "has": {"notch_area": None}}}) is None
    assert made(open=["lifter"]) is None
