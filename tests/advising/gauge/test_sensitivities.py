"""What one value does to readings, looked up, against the circuit solved anew; fits against general-purpose ones."""

import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.stats import chi2

from upfeed.advising.gauge.explaining import alone, angles, most_misfit
from upfeed.advising.gauge.pairing import pairs, product, together
from upfeed.advising.gauge.sensitivities import FELT
from upfeed.flow.gauges import Gauge, ports_of, shown
from upfeed.flow.survey import survey
from upfeed.knowledge.variants import variant

POINTS = ("650 rpm, 100 C", "900 rpm, 110 C", "600 rpm, 80 C", "3000 rpm, 100 C", "1500 rpm, 20 C, pump")


@pytest.fixture(scope="module")
def tarn(bench_of):
    return bench_of("tarn-v8", POINTS)


def felt(tarn, name):
    of, moves, _ = tarn
    return next(j for j, place in enumerate(of.places) if moves.inputs[place].name == name)


def test_gauges_show_what_a_check_computes(library, sheet_of):
    surveyed = survey(sheet_of(), library.knowledge, library.vocabulary)
    points = tuple(surveyed.build.points)
    gauges = [Gauge(port, point) for port in ("gallery", "pump") for point in points]
    engine = variant(surveyed.build)
    read = shown(surveyed.build, library.vocabulary, surveyed.topology, [engine], gauges)
    facts = [f"{name}.{point}" for name in ("gallery_pressure", "pump_pressure") for point in points]
    assert read.pressure[0] == pytest.approx([surveyed.facts.column(fact)[0] for fact in facts], rel=2e-3)
    assert read.known.all()
    assert not read.torn.any()


def test_a_gauge_may_stand_at_pump_gallery_or_mains(library, sheet_of):
    surveyed = survey(sheet_of(), library.knowledge, library.vocabulary)
    ports = ports_of(surveyed.topology)
    assert next(iter(ports)) == "gallery"
    assert {"mains", "pump", "lifter_gallery"} <= set(ports)
    assert ports["pump"] != ports["gallery"] != ports["lifter_gallery"]


def test_air_in_a_timed_passage_leaves_readings_open(bench_of):
    of, _, _ = bench_of("dunmere-six", ("650 rpm, 100 C",))
    assert 0.01 < of.torn[0] / of.expected[0] < 0.1


def test_what_is_looked_up_is_what_is_solved(tarn):
    of, moves, solved = tarn
    drawn = np.random.default_rng(5)
    values = drawn.integers(len(of.places), size=150)
    spreads = [drawn.uniform(*of.ends(value)) for value in values]
    read = solved([moves.engine({of.places[v]: off}) for v, off in zip(values, spreads, strict=True)])
    looked_up = [of.at(value, off) for value, off in zip(values, spreads, strict=True)]
    off = np.abs(np.array(looked_up) / read.pressure - 1)
    assert off.max() < 0.02, "even where the relief begins to open"
    assert np.quantile(off, 0.99) < 0.003


def test_only_what_a_gauge_could_show_is_kept(tarn):
    of, moves, _ = tarn
    assert (np.abs(of.shown / of.expected - 1).max(axis=(1, 2)) >= FELT * 0.99).all()
    names = {moves.inputs[place].name for place in of.places}
    assert {"block.main_clearance", "oil_pump.slip", "oil_pump.relief_opens", "oil.viscosity_100"} <= names
    assert not names & {"oil_pan.reserve", "cylinder_head.drain_diameter", "oil_pump.filter_volume"}


def test_gaps_are_alike_and_the_relief_is_not(tarn):
    of, _, _ = tarn
    apart = np.degrees(angles(of.columns, 0.03 * of.expected))
    mains, rods, relief = (
        felt(tarn, f"{name}")
        for name in ("block.main_clearance", "block.rod_clearance", "oil_pump.relief_opens")
    )
    assert apart[mains, rods] < 5
    assert apart[mains, relief] > 60


@pytest.mark.parametrize("name", ["block.main_clearance", "oil_pump.slip", "oil_pump.displacement"])
def test_a_fit_is_the_least_misfit_within_the_bounds(tarn, name):
    of, _, _ = tarn
    value, sigma = felt(tarn, name), 0.03 * of.expected
    readings = of.expected * np.array([0.7, 0.75, 0.8, 1.0, 1.02])
    ends = of.ends(value)
    peer = min(
        (
            least_squares(
                lambda t: (of.at(value, t[0]) - readings) / sigma, [start], bounds=[[e] for e in ends]
            )
            for start in np.linspace(ends[0] + 0.01, ends[1] - 0.01, 12)
        ),
        key=lambda found: found.cost,
    )
    assert alone(of, readings, sigma).misfit[value] == pytest.approx(2 * peer.cost, rel=1e-3)


def test_two_values_off_at_once_are_found_again(tarn):
    of, moves, solved = tarn
    pair = felt(tarn, "block.main_clearance"), felt(tarn, "oil_pump.relief_opens")
    readings = solved([moves.engine({of.places[pair[0]]: 1.5, of.places[pair[1]]: -2.0})]).pressure[0]
    found = together(of, pair, readings, 0.01 * readings)
    assert found.spreads == pytest.approx((1.5, -2.0), abs=0.1)
    assert set(pair) in [set(one.values) for one in pairs(of, readings, 0.01 * readings, moves, solved)]


def test_values_together_stay_within_what_they_can_be(tarn):
    of, _, _ = tarn
    values = tuple(range(len(of.places)))
    found = together(of, values, 0.2 * of.expected, 0.01 * of.expected)
    assert all(
        of.ends(v)[0] <= off <= of.ends(v)[1] for v, off in zip(found.values, found.spreads, strict=True)
    )
    assert product(of, values, np.zeros(len(values))) == pytest.approx(of.expected, rel=1e-4)


@pytest.mark.parametrize("readings", [1, 2, 4, 8, 16, 40])
def test_chance_alone_seldom_leaves_more_than_the_most_misfit(readings):
    """Against the chi squared distribution of scipy."""
    assert 0.02 < chi2.sf(most_misfit(readings), readings) < 0.06
