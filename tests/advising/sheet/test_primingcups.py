"""Cups under the rockers of a parked engine: at the position of their tick, nothing where shut, else why not told."""

import pytest

from tarn_v8 import REFERENCE, TOPOLOGY, engines
from upfeed.advising.sheet.making import bench_sheet
from upfeed.advising.sheet.primingcups import HANGS, NO_DRILL, NO_WARMTH, NOT_PLACED
from upfeed.answering.check import check
from upfeed.flow.facts import Facts
from upfeed.flow.parked import parked
from upfeed.flow.solve import solve

UNKNOWN = {"slots": {"lifter": {"part": "BW-118", "has": {"notch_area": None}}}}
ODD = {"slots": {"lifter": [{"at": "all", "part": "BW-118"}, {"at": "3 intake", "part": "BW-121"}]}}
SIX, TWIN = {"family": "dunmere-six"}, {"family": "ashquill-twin"}


@pytest.fixture(scope="module")
def made(library, sheet_of):
    known = {}

    def told(build, samples=0, system="shop"):
        key = repr((build, samples, system))
        if key not in known:
            known[key] = bench_sheet(sheet_of(build), library, system, samples)
        return known[key]

    return told


def settings(**given):
    return {"settings": given}


def ticked(row):
    """The cup at the stop at which a rocker is ticked."""
    (cup,) = [cup for cup in row.primed if cup.ticked]
    return cup


@pytest.mark.parametrize("build", [{}, ODD, SIX, TWIN])
def test_each_rocker_has_a_cup_where_it_is_ticked(made, build):
    sheet = made(build)
    stops = {valve: stop.crank_deg for stop in sheet.priming.stops for valve in stop.valves}
    for row in sheet.valves:
        assert [cup.crank_deg for cup in row.primed] == [stop.crank_deg for stop in sheet.priming.stops]
        if row.valve in sheet.priming.never:
            assert [cup.caught.value for cup in row.primed] == [0.0] * len(row.primed)
        else:
            assert ticked(row).crank_deg == stops[row.valve]
            assert ticked(row).caught.value > 0


def test_a_rocker_that_is_shut_off_gets_nothing_and_is_fed_at_another_stop(made):
    dry = [(row, cup) for row in made({}).valves for cup in row.primed if cup.caught.value == 0]
    assert dry
    for row, cup in dry:
        assert cup.caught.value == 0.0
        assert not cup.ticked
        assert ticked(row).crank_deg != cup.crank_deg


def test_a_cup_holds_half_a_minute_of_what_the_held_engine_lets_by(made):
    row = made({}).valves[0]
    crank = int(ticked(row).crank_deg)
    held = parked(engines(REFERENCE), TOPOLOGY, [crank])
    (flow,) = Facts(held, solve(held.network)).column(f"valve_flow.{crank}", 0)
    assert ticked(row).caught.value == pytest.approx(30 * flow)
    # mL are shown in either system.
    assert ticked(row).caught.shown == ticked(made({}, system="si").valves[0]).caught.shown


def test_what_creeps_past_a_shut_band_grows_with_the_cube_of_the_clearance(made):
    """Plane Poiseuille flow along a land: twice the clearance lets eight times as much by."""

    def creeping(bore):
        block = {"slots": {"block": {"part": "TN-1", "has": {"lifter_bore": bore}}}}
        return max(c.creeps.value for row in made(block).valves for c in row.primed if c.creeps)

    # 0.8425 in the body: 1 thou and 2 thou on diameter.
    assert creeping("0.8445 in") / creeping("0.8435 in") == pytest.approx(8, rel=0.15)


def test_nothing_creeps_through_a_lifter_without_a_way(made):
    sheet = made(ODD)
    (blind,) = [row for row in sheet.valves if row.valve == "3 intake"]
    assert [cup.creeps.value for cup in blind.primed] == [0.0] * len(sheet.priming.stops)
    assert all(cup.creeps is None for row in sheet.valves for cup in row.primed if cup.caught.value)


@pytest.mark.parametrize(
    ("changed", "bigger"),
    [({"priming_oil_temperature": "40 C"}, True), ({"priming_pump_speed": "10 rpm"}, False)],
    ids=["warmer oil", "a slow drill"],
)
def test_thin_oil_fills_a_cup_more_and_a_slow_drill_less(made, changed, bigger):
    usual, other = (ticked(made(build).valves[0]).caught.value for build in ({}, settings(**changed)))
    assert (other > usual) is bigger


def test_a_slow_drill_lets_the_gauge_stand_lower(made):
    slow = made(settings(priming_pump_speed="10 rpm")).priming
    assert slow.stops[0].gauge.value < made({}).priming.stops[0].gauge.value
    assert slow.drill_speed.shown == "10 rpm"
    assert (slow.oil_temperature.shown, made({}).priming.drill_speed.shown) == ("20 C", "400 rpm")


@pytest.mark.parametrize(
    ("build", "told"),
    [
        (settings(priming_pump_speed=None), NO_DRILL),
        (settings(priming_oil_temperature=None), NO_WARMTH),
        ({"family": "wexcombe-four"}, NOT_PLACED),
        (UNKNOWN, HANGS),
    ],
    ids=["drill", "oil", "lobes", "notch"],
)
def test_what_is_missing_makes_the_cup_unknown_and_is_said(made, build, told):
    sheet = made(build)
    assert sheet.priming.stops
    assert {ticked(row).caught.lacks for row in sheet.valves} == {told}
    assert {ticked(row).caught.value for row in sheet.valves} == {None}
    assert {stop.gauge.lacks for stop in sheet.priming.stops} == {told}


def test_a_shut_rocker_is_dry_whatever_its_notch(made):
    """What is known of all corner cases is told, though others are not."""
    cups = [cup.caught for row in made(UNKNOWN).valves for cup in row.primed if not cup.ticked]
    assert 0.0 in {cup.value for cup in cups}


def test_corner_cases_bound_what_hangs_on_the_notch(made):
    known, unknown = (ticked(made(build).valves[0]).caught for build in ({}, UNKNOWN))
    assert unknown.band[0] < known.value < unknown.band[1]


def test_draws_give_a_cup_its_band(made):
    for row in made({}, samples=16).valves:
        cup = ticked(row).caught
        assert cup.band[0] < cup.value < cup.band[1]


def test_without_a_stop_there_are_no_cups(made):
    assert {len(row.primed) for row in made({"slots": {"lifter": "BW-121"}}).valves} == {0}


def test_the_settings_of_priming_change_nothing_in_the_check(library, sheet_of):
    usual, told = (check(sheet_of(build), library) for build in ({}, settings(priming_pump_speed="50 rpm")))
    assert (usual.points, usual.findings, usual.timing) == (told.points, told.findings, told.timing)
