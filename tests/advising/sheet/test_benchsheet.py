"""The bench sheet of a build: every number that of its check, whatever is missing said with what to do."""

import msgspec
import pytest
from msgspec import Struct

from upfeed.advising.sheet.asking import Bench, read_bench
from upfeed.advising.sheet.benchsheet import Number
from upfeed.advising.sheet.making import bench_sheet
from upfeed.answering.check import check
from upfeed.answering.wire import encode
from upfeed.flow.survey import survey
from upfeed.reading.faults import DataFaults

THOU = 25.4e-6
UNKNOWN = {"slots": {"lifter": {"part": "BW-118", "has": {"notch_area": None}}}}
ODD = {"slots": {"lifter": [{"at": "all", "part": "BW-118"}, {"at": "3 intake", "part": "BW-121"}]}}
BLIND = {"slots": {"lifter": "BW-121"}}
OPEN = {"open": ["lifter"]}
SIX = {"family": "dunmere-six"}
ORLEBECK = {"family": "orlebeck-five"}
WRENMOOR = {"family": "wrenmoor-four"}


def of_rockers(**has):
    """The reference with rockers that are known otherwise; None: not known."""
    return {"slots": {"rocker": {"part": "HM-40", "has": has}}}


@pytest.fixture(scope="module")
def made(library, sheet_of):
    known = {}

    def told(build, samples=0, bench=None, system="shop"):
        key = repr((build, samples, bench, system))
        if key not in known:
            known[key] = bench_sheet(sheet_of(build), library, system, samples, bench)
        return known[key]

    return told


def everything(of):
    """Every struct inside another."""
    if isinstance(of, Struct):
        yield of
        for name in of.__struct_fields__:
            yield from everything(getattr(of, name))
    elif isinstance(of, list | tuple):
        for item in of:
            yield from everything(item)


def task(sheet, name, at="all"):
    return next(task for task in sheet.tasks if (task.name, task.at) == (name, at))


@pytest.mark.parametrize("build", [{}, UNKNOWN, ODD, BLIND, OPEN, SIX, ORLEBECK, WRENMOOR])
def test_a_number_is_there_or_says_why_not(made, build):
    numbers = [number for number in everything(made(build)) if isinstance(number, Number)]
    assert len(numbers) > 50
    for number in numbers:
        assert (number.value is None) == (number.lacks is not None)
        assert (number.shown == "not known") == (number.value is None)
        assert number.lacks is None or len(number.lacks) > 10


@pytest.mark.parametrize("build", [{}, UNKNOWN, ODD, SIX, WRENMOOR])
def test_tasks_are_numbered_and_every_valve_has_its_own(made, build):
    sheet = made(build)
    assert [task.number for task in sheet.tasks] == list(range(1, len(sheet.tasks) + 1))
    assert len({(task.name, task.at) for task in sheet.tasks}) == len(sheet.tasks)
    assert all(set(row.tasks) <= set(range(1, len(sheet.tasks) + 1)) for row in sheet.valves)
    assert all(t.how and t.tool and t.definition for t in sheet.tasks)


def test_what_nobody_knows_comes_first_then_what_the_draws_say_then_the_way_up(made, library, sheet_of):
    assert [t.because for t in made(UNKNOWN).tasks][:2] == ["unknown", "path"]
    sheet = made({}, samples=32)
    answer = check(sheet_of({}), library, "shop", 32)
    named = [m.name for m in answer.measure_first if not m.name.startswith("reference.")]
    assert [t.name for t in sheet.tasks if t.because == "spread"] == named
    assert [t.because for t in sheet.tasks] == sorted((t.because for t in sheet.tasks), reverse=True)
    shares = [t.share for t in sheet.tasks if t.because == "path"]
    assert shares == sorted(shares, reverse=True)


def test_an_odd_lifter_has_tasks_of_its_own(made):
    sheet = made(ODD)
    blind = task(sheet, "lifter.feed_hole", "3 intake")
    rest = task(sheet, "lifter.feed_hole", "all except 3 intake")
    rows = {row.valve: row.tasks for row in sheet.valves}
    assert blind.number in rows["3 intake"]
    assert rest.number not in rows["3 intake"]
    assert all(
        rest.number in tasks and blind.number not in tasks for v, tasks in rows.items() if v != "3 intake"
    )
    # A blind lifter has no notch to read.
    assert not [t for t in sheet.tasks if t.name == "lifter.notch_area" and t.at == "3 intake"]


def test_a_hole_has_pins_around_its_value_and_a_notch_a_bench_flow(made):
    sheet = made({})
    feed, notch = task(sheet, "lifter.feed_hole"), task(sheet, "lifter.notch_area")
    assert {(p.system, p.go_shown, p.no_go_shown) for p in feed.pins} == {
        ("metric", "1.29 mm", "1.35 mm"),
        ("inch", "0.051 in", "0.053 in"),
    }
    assert (feed.caught, notch.pins) == (None, [])
    assert notch.caught.least < notch.caught.most
    assert notch.caught.shown.endswith("in 60 s at 40 psi, the engine's oil at 40 C")


def test_a_bench_flow_is_the_one_its_size_was_read_from(made):
    """The set read on the bench let by 140 mL in 60 s (kb/demo/bench-lifters.yaml), which lies in the middle."""
    caught = task(made({"slots": {"lifter": "PD-32"}}), "lifter.notch_area").caught
    assert (caught.least + caught.most) / 2 == pytest.approx(140e-6, rel=0.01)
    assert (caught.pressure, caught.temperature) == (pytest.approx(40 * 6894.757), pytest.approx(299.15))


def test_oil_through_a_notch_goes_as_the_pressure_when_slow_and_by_less_when_fast(made):
    """Stokes flow is proportional to the pressure; an orifice at speed goes as its root (textbook limits)."""

    def most(pressure):
        return task(made({}, bench=Bench(pressure=pressure)), "lifter.notch_area").caught.most

    assert most(100.0) / most(50.0) == pytest.approx(2, rel=0.02)
    assert 10**0.5 < most(3e5) / most(3e4) < 10


def test_what_is_not_known_has_neither_pins_nor_oil(made):
    notch = task(made(UNKNOWN), "lifter.notch_area")
    assert (notch.expected.value, notch.pins, notch.caught, notch.plus_minus) == (None, [], None, None)
    assert "bench flow" in notch.how


def test_the_cup_holds_the_rocker_s_flow_times_half_a_minute(made, library, sheet_of):
    sheet = made({})
    surveyed = survey(sheet_of({}), library.knowledge, library.vocabulary, library.topologies)
    for valve, row in enumerate(sheet.valves):
        (flow,) = surveyed.known("valve_flow.hot_idle", valve)
        assert (row.seconds, row.caught.value) == (30.0, pytest.approx(30 * flow))
    idle = {c.name: c.build for c in check(sheet_of({}), library).points[0].computed}
    assert sum(row.caught.value for row in sheet.valves) == pytest.approx(30 * idle["top_end_flow.hot_idle"])
    # By hand: 38.4 mL/min is 19.2 mL in half a minute.
    assert min(row.caught.value for row in sheet.valves) == pytest.approx(
        idle["worst_valve_flow.hot_idle"] * 30
    )


def test_the_band_leaves_the_hole_at_the_lift_at_which_the_oil_is_cut_off(made, library, sheet_of):
    surveyed = survey(sheet_of({}), library.knowledge, library.vocabulary, library.topologies)
    radius = surveyed.value("block.gallery_diameter", 0).magnitude / 2
    for valve, row in enumerate(made({}).valves):
        base, full = row.sighted
        (cut_off,) = surveyed.known("cut_off_lift", valve)
        assert base.lower_edge.value + cut_off == pytest.approx(radius)
        assert full.lower_edge.value == pytest.approx(base.lower_edge.value + full.lift.value)
        band = base.upper_edge.value - base.lower_edge.value
        assert 0 < base.open_height.value <= min(band, 2 * radius)
        assert full.open_height.value == 0
    # Full lift is what the cam card says.
    assert made({}).valves[0].sighted[1].lift.value == pytest.approx(
        surveyed.value("camshaft.intake_lift", 0).magnitude
    )


def test_without_a_band_nothing_is_sighted(made):
    assert all(row.sighted == [] and "no band" in row.sighted_lacks for row in made(ORLEBECK).valves)


def test_turns_follow_from_pitch_lever_and_preload(made):
    """By hand: 25 thou of preload, 24 threads an inch, ratio 1.5: 0.36 turns."""
    sheet = made({}, bench=read_bench("1/24 in", None, None))
    assert sheet.adjuster.mounts == ["stud"]
    assert sheet.adjuster.per_turn.value == pytest.approx(25.4e-3 / 24 * (1 + 1 / 1.5))
    assert {round(row.turns.value, 3) for row in sheet.valves} == {0.36}


def test_turns_without_a_pitch_say_how_to_measure_it(made):
    for number in (made({}).adjuster.pitch, made({}).valves[0].turns):
        assert number.value is None
        assert "ten threads" in number.lacks


@pytest.mark.parametrize(
    ("build", "told"),
    [
        (SIX, "follows from the heights"),
        (of_rockers(mount="pedestal"), "the pushrod's length alone sets preload"),
        (of_rockers(mount="shaft"), "the pushrod's length alone sets preload"),
        (of_rockers(mount=None), "how the rockers are held is not given"),
        (of_rockers(ratio=None), "the rocker's ratio is not known"),
    ],
)
def test_no_turns_where_none_set_the_preload(made, build, told):
    sheet = made(build, bench=Bench(pitch=1e-3))
    assert all(row.turns.value is None and told in row.turns.lacks for row in sheet.valves)
    assert told in sheet.adjuster.per_turn.lacks


@pytest.mark.parametrize("mount", ["shaft", "pedestal"])
def test_a_screw_over_the_pushrod_moves_the_cup_by_its_pitch(made, mount):
    screw = of_rockers(mount=mount, adjusting_screw="fitted") | {"settings": {"preload": "-10 thou"}}
    sheet = made(screw, bench=Bench(pitch=1e-3))
    assert sheet.adjuster.adjusting_screws == ["fitted"]
    assert sheet.adjuster.per_turn.value == 1e-3
    # Ten thou of lash is 0.254 mm: a quarter of a turn back.
    assert sheet.valves[0].turns.value == pytest.approx(-0.254)


def test_without_a_screw_ten_thou_of_pushrod_are_ten_thou_of_preload(made):
    how = made(of_rockers(mount="shaft"), bench=Bench(pitch=1e-3)).adjuster
    assert how.adjusting_screws == ["none"]
    assert how.ten_thou_of_pushrod.value == pytest.approx(10 * THOU)


@pytest.mark.parametrize("mount", ["shaft", "pedestal"])
def test_a_screw_that_nobody_looked_for_is_said_to_be_looked_for(made, mount):
    how = made(of_rockers(mount=mount, adjusting_screw=None), bench=Bench(pitch=1e-3)).adjuster
    assert how.adjusting_screws == []
    for number in (how.per_turn, how.ten_thou_of_pushrod):
        assert number.value is None
        assert "can't tell" in number.lacks
        assert "look at the rocker's end over the pushrod" in number.lacks


def test_a_screw_where_preload_is_told_from_heights_says_how_to_have_turns(made):
    sheet = made(SIX | {"slots": {"rocker": "HM-62"}}, bench=Bench(pitch=1e-3))
    assert "preload_from: set" in sheet.adjuster.per_turn.lacks
    twin = made({"family": "ashquill-twin"}, bench=Bench(pitch=1e-3))
    # 55 thou by a screw of 1 mm pitch.
    assert [row.turns.value for row in twin.valves] == pytest.approx([55 * THOU / 1e-3] * 4)


def test_a_nut_on_a_stud_needs_no_word_about_a_screw(made):
    assert made(of_rockers(adjusting_screw=None), bench=Bench(pitch=1e-3)).adjuster.per_turn.value > 1e-3


def test_the_gauge_reads_what_the_check_says(made, library, sheet_of):
    sheet, answer = made({}, samples=32), check(sheet_of({}), library, "shop", 32)
    for told, point in zip(sheet.gauge, answer.points, strict=True):
        pressure = next(c for c in point.computed if c.name == f"gallery_pressure.{point.point}")
        assert (told.pressure.value, told.pressure.band) == (pressure.build, pressure.band)
        assert told.pressure.band[0] < told.pressure.value < told.pressure.band[1]
        assert (told.speed_rpm, told.oil_temperature_c) == (point.speed_rpm, point.oil_temperature_c)


@pytest.mark.parametrize("build", [{}, ODD, BLIND, SIX, ORLEBECK])
def test_every_rocker_is_ticked_once_or_said_not_to_be_reached(made, build):
    sheet = made(build)
    ticked = [valve for stop in sheet.priming.stops for valve in stop.valves]
    assert sorted((*ticked, *sheet.priming.never)) == sorted(row.valve for row in sheet.valves)


def test_priming_turns_the_pump_as_cranking_would_and_takes_as_long(made, library, sheet_of):
    sheet, answer = made({}), check(sheet_of({}), library)
    idle, cold = answer.points[0], answer.points[-1]
    times = [c.build for p in (idle, cold) for c in p.computed if c.name == f"first_oil_cranked.{p.point}"]
    assert sheet.priming.seconds.band == (min(times), max(times))
    # 200 rpm of the crank, and half as fast the pump, as camshafts drive it.
    assert sheet.priming.pump_speed.shown == "100 rpm"


def test_without_a_way_up_priming_says_so(made):
    priming = made(BLIND).priming
    assert priming.stops == []
    assert "no rocker is reached" in priming.lacks
    assert "3 intake" in made(ODD).priming.never


def test_drains_are_counted_with_the_drill_that_drops_through(made):
    heads, valley = made({}).drains
    assert (heads.where, heads.count.value, heads.diameter.shown) == ("each cover", 3.0, "11 mm")
    assert valley.where == "the valley"
    for drains in (heads, valley):
        assert all(
            pair.tool == "drill" and pair.go < drains.diameter.value < pair.no_go for pair in drains.pins
        )


def test_drains_that_nobody_counted_say_how_to(made):
    (heads, *_) = made({"slots": {"cylinder_head": {"part": "TN-20", "has": {"drain_count": None}}}}).drains
    assert heads.count.value is None
    assert "torch" in heads.count.lacks


def test_an_open_slot_is_named_and_nothing_is_made_up(made):
    sheet = made(OPEN)
    assert [u.name for u in sheet.unknown] == ["lifter"]
    assert all(
        point.speed_rpm is None and "left open: lifter" in point.pressure.lacks for point in sheet.gauge
    )
    assert all(row.caught.value is None for row in sheet.valves)


def test_sizes_are_shown_in_either_system(made):
    assert made({}).valves[0].cold_preload.shown == "25 thou"
    assert made({}, system="si").valves[0].cold_preload.shown == "0.635 mm"


def test_the_wire_shape_reads_back_with_the_same_bytes(made, library, sheet_of):
    sheet = made({})
    assert msgspec.json.decode(encode(sheet), type=type(sheet)) == sheet
    assert encode(bench_sheet(sheet_of({}), library)) == encode(sheet)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (("1.25", None, None), "without a unit"),
        (("12 mm", None, None), "expected 0.2 mm to 4 mm"),
        ((None, "40 C", None), "expected a pressure"),
        ((None, None, "-40 C"), "expected 0 C to 150 C"),
    ],
)
def test_a_bench_that_cannot_be_is_refused(given, told):
    with pytest.raises(DataFaults) as wrong:
        read_bench(*given)
    assert told in str(wrong.value)


def test_all_that_is_wrong_with_a_bench_is_told_at_once():
    with pytest.raises(DataFaults) as wrong:
        read_bench("x", "y", "z")
    assert len(wrong.value.faults) == 3


def test_a_bench_as_a_shop_writes_it():
    assert read_bench(None, None, None) == Bench()
    bench = read_bench("1/24 in", "30 psi", "20 C")
    assert bench.pitch == pytest.approx(25.4e-3 / 24)
    assert (bench.pressure, bench.temperature) == (pytest.approx(206842.7), pytest.approx(293.15))
