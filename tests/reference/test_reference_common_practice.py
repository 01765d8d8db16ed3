"""Whole engines beside what the trade takes for granted; every figure is common practice, no source."""

from pathlib import Path

import pytest
from msgspec import Struct

from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.facts import Facts
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.load import Layer, load
from upfeed.knowledge.variants import Variant, variant
from upfeed.knowledge.vocabularyfile import read_vocabulary

TOP = Path(__file__).parent.parent.parent
VOCABULARY = read_vocabulary(TOP / "shared" / "vocabulary")
KNOWLEDGE = load([Layer("base", TOP / "kb")], VOCABULARY).knowledge

PSI, THOU, MM = 6894.757293168, 25.4e-6, 1e-3


class Row(Struct, frozen=True):
    """Common practice, no source: what engines of typical sizes hold and send up, from a quick solve of them."""

    idle: float
    cruise: float
    top: float
    share: float


# psi at hot idle, at 2500 rpm and at top speed; the top end's share of the pump's oil at hot idle.
TYPICAL = {
    "tarn-v8": Row(28.2, 57.7, 64.0, 0.17),
    "dunmere-six": Row(29.2, 55.2, 58.4, 0.16),
    "calder-roller-v8": Row(26.4, 56.9, 64.2, 0.18),
    "ashquill-twin": Row(16.9, 34.1, 37.6, 0.15),
}
DISC_FED = ("tarn-v8", "calder-roller-v8", "ashquill-twin")


def reference(family):
    return variant(reference_build(KNOWLEDGE.families[family], KNOWLEDGE, VOCABULARY))


def changed(of, slot, **values):
    """An engine with some values of one slot, or its settings, changed in every position."""
    if slot == "settings":
        return Variant(of.slots, {**of.settings, **values}, of.points)
    known = {**of.slots[slot][0], **values}
    return Variant({**of.slots, slot: (known,) * len(of.slots[slot])}, of.settings, of.points)


def facts_of(family, *variants):
    plan, points = KNOWLEDGE.families[family].plan, tuple(KNOWLEDGE.families[family].points)
    made = circuit(Engines(plan, VOCABULARY, variants, points), topology(plan, VOCABULARY.kinds))
    solution = solve(made.network)
    assert solution.converged.all()
    return Facts(made, solution)


def psi(family, point, *variants, at="gallery_pressure"):
    column = facts_of(family, *(variants or (reference(family),))).column(f"{at}.{point}")
    return [pascal / PSI for pascal in column]


@pytest.mark.parametrize("family", TYPICAL)
def test_hot_idle_is_what_such_an_engine_holds(family):
    # Ten to twenty-five psi is what the trade asks for; sound V8s and sixes with typical sizes hold a little more.
    (found,) = psi(family, "hot_idle")
    assert found == pytest.approx(TYPICAL[family].idle, rel=0.1)
    assert 10 <= found <= 25 * 1.25


@pytest.mark.parametrize("family", TYPICAL)
def test_cruise_is_thirty_to_sixty_five_psi(family):
    (found,) = psi(family, "cruise")
    assert 30 <= found <= 65
    assert found == pytest.approx(TYPICAL[family].cruise, rel=0.1)


@pytest.mark.parametrize("family", TYPICAL)
def test_top_speed_stands_on_the_relief(family):
    # Relief near 60 psi in cars, 35 in the twin; the valve's slope lets it rise a few psi over its opening.
    (found,) = psi(family, "top_speed")
    opens = reference(family).at("oil_pump", 0)["relief_opens"] / PSI
    assert opens < found < opens + 10
    assert found == pytest.approx(TYPICAL[family].top, rel=0.1)


@pytest.mark.parametrize("family", TYPICAL)
def test_at_least_seven_psi_for_every_thousand_turns_below_the_relief(family):
    # Seven to ten is asked for where the relief is still shut; below it a sound engine has more, not less.
    of = reference(family)
    opens = of.at("oil_pump", 0)["relief_opens"] / PSI
    for rpm in (800, 1200, 1600, 2000):
        turning = Variant(
            of.slots,
            of.settings,
            {p: {**v, "speed": rpm * 0.10471975511965977} for p, v in of.points.items()},
        )
        (found,) = psi(family, "hot_idle", turning)
        assert found >= min(7 * rpm / 1000, opens)


@pytest.mark.parametrize("family", TYPICAL)
def test_the_top_end_takes_ten_to_twenty_five_per_cent_at_hot_idle(family):
    (share,) = facts_of(family, reference(family)).column("top_end_share.hot_idle")
    assert 0.10 <= share <= 0.25
    assert share == pytest.approx(TYPICAL[family].share, abs=0.03)


def test_preload_lost_on_sixteen_disc_lifters_costs_five_or_six_psi():
    # Five to six psi, a calibration of the disc's rise near 0.03 mm; at 0.035 mm between 2 and 9.5.
    of = reference("tarn-v8")
    assert of.at("lifter", 0)["disc_rise"] == pytest.approx(0.035 * MM)
    seated, raised = psi("tarn-v8", "hot_idle", of, changed(of, "settings", preload=-60 * THOU))
    assert 2.0 <= seated - raised <= 9.5


def test_a_higher_disc_costs_more():
    # Quick solve of typical sizes, one way for notch and gap: 20/30/40/50 um cost 1.0/3.1/6.2/9.3 psi. Solved
    # as two ways some rise between 0.03 and 0.06 mm has to cost five to six.
    of = changed(reference("tarn-v8"), "settings", preload=-60 * THOU)
    rises = [0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.08]
    found = psi(
        "tarn-v8", "hot_idle", reference("tarn-v8"), *(changed(of, "lifter", disc_rise=r * MM) for r in rises)
    )
    lost = [found[0] - after for after in found[1:]]
    assert lost == sorted(lost)
    by_rise = dict(zip(rises, lost, strict=True))
    assert by_rise[0.01] < 1
    assert by_rise[0.03] < 6
    assert by_rise[0.06] > 5


@pytest.mark.parametrize("family", DISC_FED)
def test_a_feed_hole_a_quarter_larger_behind_a_seated_disc_passes_the_same(family):
    # 27 % in diameter is 1.6 times the area: the notch further on is tighter, so the oil is the same.
    of = reference(family)
    assert of.at("lifter", 0)["metering"] == "disc"
    larger = changed(of, "lifter", feed_hole=1.27 * of.at("lifter", 0)["feed_hole"])
    facts = facts_of(family, larger, of)
    for fact in ("top_end_flow.hot_idle", "worst_valve_flow.hot_idle"):
        found, before = facts.column(fact)
        assert 0.98 <= found / before <= 1.02


def test_a_larger_feed_hole_counts_where_nothing_behind_it_is_tighter():
    # The same hole before a raised disc and a wide notch: now it is what holds the oil back.
    of = changed(
        changed(reference("tarn-v8"), "lifter", notch_area=2e-6, feed_hole=0.6 * MM),
        "settings",
        preload=-60 * THOU,
    )
    larger = changed(of, "lifter", feed_hole=0.6 * 1.27 * MM)
    found, before = facts_of("tarn-v8", larger, of).column("valve_flow.top_speed")
    assert found / before > 1.3


@pytest.mark.parametrize("family", TYPICAL)
def test_a_cold_start_stands_on_the_relief_and_that_is_no_fault(family):
    (found,) = psi(family, "cold_start", at="pump_pressure")
    opens = reference(family).at("oil_pump", 0)["relief_opens"] / PSI
    assert found >= opens
