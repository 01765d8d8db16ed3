"""What gauge readings tell of a build, from text to answer: every outcome, the arithmetic, and bad input."""

import msgspec
import pytest

from upfeed.advising.gauge.gaugeerror import RANGES, gauge_error
from upfeed.advising.gauge.readinganswer import ReadingsAnswer
from upfeed.advising.gauge.readings import explain_readings
from upfeed.answering.wire import encode
from upfeed.reading.faults import DataFaults
from upfeed.text.readings import readings as as_text

PSI = 6894.757293168


@pytest.fixture(scope="module")
def explain(library, sheet_of):
    def told(*texts, build=None, **more):
        """The Tarn V8's reference where no build is given."""
        return explain_readings(sheet_of(build), library, texts, **more)

    return told


@pytest.fixture(scope="module")
def faults_in(explain):
    def told(*texts, **more):
        with pytest.raises(DataFaults) as wrong:
            explain(*texts, **more)
        return [str(fault) for fault in wrong.value.faults]

    return told


def worn(**block):
    """Readings of a Tarn whose block has other sizes, as a check of that build computes them."""
    return {"slots": {"block": {"part": "TN-1", "has": block}}}


def read_off(explain, build, *places):
    """What the model expects of a build, written down to a tenth of a psi as a gauge reads."""
    blank = explain(*(f"{place}, 20 psi" for place in places), build=build)
    return [
        f"{place}, {told.expected / PSI:.1f} psi" for place, told in zip(places, blank.readings, strict=True)
    ]


PLACES = ("600 rpm, 100 C", "900 rpm, 110 C", "700 rpm, 80 C", "3500 rpm, 100 C")


def test_readings_as_expected_agree(explain):
    told = explain(*read_off(explain, None, *PLACES))
    assert told.outcome == "agrees"
    assert told.explanations == []


def test_a_worn_bearing_is_found_with_its_size(explain):
    told = explain(*read_off(explain, worn(main_clearance="4.5 thou"), *PLACES), error="0.3 psi")
    assert told.outcome == "explained"
    first = told.explanations[0]
    found = {cause.name: cause for cause in (*first.causes, *first.alike)}["block.main_clearance"]
    assert found.would_be == pytest.approx(4.5 * 25.4e-6, rel=0.02)
    assert found.spreads == pytest.approx((4.5 - 2.5) / 0.4, rel=0.03)
    assert "dial bore gauge" in found.measure
    assert max(map(abs, first.left_over)) < 0.3 * PSI


def test_a_tired_relief_is_told_from_all_that_leaks(explain):
    weak = {"slots": {"oil_pump": {"part": "VS-135", "has": {"relief_opens": "40 psi"}}}}
    told = explain(*read_off(explain, weak, *PLACES), error="0.5 psi")
    assert told.outcome == "explained"
    assert told.explanations[0].causes[0].name == "oil_pump.relief_opens"
    assert told.explanations[0].causes[0].would_be == pytest.approx(40 * PSI, rel=0.02)
    assert "block.main_clearance" not in {c.name for c in told.explanations[0].alike}


def test_a_clogged_filter_shows_between_pump_and_gallery(explain):
    clogged = {"slots": {"oil_filter": {"part": "MF-21", "has": {"rated_drop": "25 psi"}}}}
    places = ("600 rpm, 100 C", "2500 rpm, 60 C", "2500 rpm, 100 C")
    blank = explain(*(f"{p}, 20 psi{at}" for p in places for at in ("", ", pump")), build=clogged)
    texts = [
        f"{p}, {told.expected / PSI:.1f} psi{at}"
        for (p, at), told in zip(
            ((p, at) for p in places for at in ("", ", pump")), blank.readings, strict=True
        )
    ]
    told = explain(*texts, error="0.3 psi")
    first = told.explanations[0]
    assert told.outcome == "explained"
    assert {c.name for c in (*first.causes, *first.alike)} & {
        "oil_filter.rated_drop",
        "oil_filter.rated_flow",
        "oil_filter.rated_viscosity",
    }


def test_pump_and_gallery_differ_by_what_the_filter_takes(explain):
    told = explain("2500 rpm, 60 C, 55 psi", "2500 rpm, 60 C, 55 psi, pump")
    gallery, pump = told.readings
    assert (gallery.port, pump.port) == ("gallery", "pump")
    assert pump.expected - gallery.expected == pytest.approx(gallery.filter_drop, rel=1e-6)
    assert explain("650 rpm, 100 C, 20 psi, at the lifter gallery").readings[0].port == "lifter_gallery"
    assert explain("2500 rpm, 60 C, 55 psi", port="pump").readings[0].expected == pump.expected


def test_two_values_off_at_once_are_told_as_a_pair(explain):
    both = worn(main_clearance="4 thou")
    both["slots"]["oil_pump"] = {"part": "VS-135", "has": {"relief_opens": "40 psi"}}
    told = explain(*read_off(explain, both, *PLACES, "4500 rpm, 90 C"), error="0.3 psi")
    assert told.outcome == "two_at_once"
    assert "oil_pump.relief_opens" in {cause.name for cause in told.explanations[0].causes}
    assert all(len(explanation.causes) == 2 for explanation in told.explanations)


def test_one_reading_cannot_tell(explain):
    told = explain("650 rpm, 100 C, 14 psi")
    assert told.outcome == "cannot_tell"
    assert {"block.main_clearance", "oil_pump.slip"} <= {
        c.name for e in told.explanations for c in (*e.causes, *e.alike)
    }
    assert "one number cannot tell two causes apart" in " ".join(as_text(told).split())


def test_explanations_stand_in_the_order_of_their_stretch(explain):
    told = explain("650 rpm, 100 C, 14 psi", "3000 rpm, 100 C, 58 psi")
    for explanation in told.explanations:
        alone = [abs(cause.spreads) for cause in (*explanation.causes, *explanation.alike)]
        assert alone == sorted(alone)
    assert [e.stretch for e in told.explanations] == sorted(e.stretch for e in told.explanations)


@pytest.mark.parametrize(
    ("texts", "outcome"),
    [
        (["650 rpm, 100 C, 14 psi", "650 rpm, 100 C, 30 psi"], "contradictory"),
        (["650 rpm, 100 C, 14 psi, pump", "650 rpm, 100 C, 25 psi"], "contradictory"),
        (["650 rpm, 100 C, 1400 psi"], "impossible"),
        (["650 rpm, 100 C, 27 psi", "3000 rpm, 100 C, 3000 psi"], "impossible"),
    ],
)
def test_readings_that_cannot_be_are_called_so(explain, texts, outcome):
    told = explain(*texts)
    assert told.outcome == outcome
    assert told.explanations == []
    assert "Check the gauge" in " ".join(as_text(told).split())


def test_what_is_missing_has_to_be_known_first(explain):
    told = explain(
        "650 rpm, 100 C, 14 psi", build={"slots": {"lifter": {"part": "BW-118", "has": {"notch_area": None}}}}
    )
    assert told.outcome == "unknown"
    assert [unknown.name for unknown in told.unknown] == ["lifter.notch_area"]
    assert told.readings[0].expected is None
    assert "lifter notch area" in as_text(told)
    left_open = explain("650 rpm, 100 C, 14 psi", build={"open": ["lifter"]})
    assert [unknown.name for unknown in left_open.unknown] == ["lifter"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("hello", 'expected speed, oil temperature and pressure, as "650 rpm, 100 C, 14 psi"'),
        ("650 rpm, 100 C, -1 psi", "over the pressure of the air"),
        ("650 rpm, 100 psi, 14 psi", "expected a temperature in C, F or K"),
        ("650 rpm, 100 C, 14", "without a unit"),
        ("650 rpm, 151 C, 14 psi", "expected -50 C to 150 C"),
        ("0 rpm, 100 C, 14 psi", "expected 20 rpm to 20000 rpm"),
        ("650 rpm, 100 C, 14 psi, dipstick", "mains or pump"),
        ("650 rpm, 100 C, 14 psi, pump, again", "expected speed"),
        ("650 rpm, 100 C, 1e9 psi", "what an oil pump can give"),
    ],
)
def test_what_is_no_reading_is_told_with_what_was_expected(faults_in, text, words):
    (told,) = faults_in(text)
    assert told.startswith("readings, reading 1: found ")
    assert words in told


def test_everything_wrong_is_told_at_once(faults_in):
    told = faults_in("65o rpm, 100 psi, 14 C", "hello", port="nowhere")
    assert len(told) == 5
    assert faults_in()[0].startswith("readings: found 0 readings")


@pytest.mark.parametrize("error", ["2 percent", "0 psi", "-1 psi", "50 %", "3"])
def test_a_gauge_error_that_is_none_is_refused(faults_in, error):
    (told,) = faults_in("650 rpm, 100 C, 14 psi", error=error)
    assert "readings, --error" in told


def test_a_pump_that_draws_air_shows_nothing_to_compare_with(faults_in):
    blocked = {"points": {"hot_idle": {"blow_by": "300 L/min"}}}
    (told,) = faults_in("650 rpm, 100 C, 14 psi", build=blocked)
    assert "the pickup ends up bare" in told
    assert "Leave this reading out" in told


def test_the_gauge_assumed_is_the_smallest_that_stands_the_relief():
    """Class 1.6 of EN 837-1: 6 bar full scale is off by 0.096 bar; three quarters of 6 bar are 4.5 bar."""
    assert gauge_error(None, 4.5e5).full_scale == 6e5
    assert gauge_error(None, 4.51e5).full_scale == 10e5
    assert gauge_error(None, 4e5).amount == pytest.approx(0.096e5)
    assert gauge_error(None, 1e12).full_scale == RANGES[-1]


def test_json_holds_every_field_and_reads_back(explain):
    told = explain("650 rpm, 100 C, 14 psi", "3000 rpm, 100 C, 57 psi")
    assert msgspec.json.decode(encode(told), type=ReadingsAnswer) == told
    assert encode(told) == encode(explain("650 rpm, 100 C, 14 psi", "3000 rpm, 100 C, 57 psi"))


def test_the_command_tells_text_json_and_exit_codes(upfeed, build_file):
    build = build_file("format: 1\nfamily: tarn-v8\n")
    agreed = upfeed("readings", build, "--at", "650 rpm, 100 C, 27 psi")
    assert (agreed.code, agreed.text.split(":")[0]) == (0, "Agrees")
    assert upfeed("readings", build, "--at", "650 rpm, 100 C, 14 psi").code == 3
    told = upfeed("readings", build, "--at", "650 rpm, 100 C, 14 psi, pump", "--format", "json")
    assert msgspec.json.decode(told.out, type=ReadingsAnswer).readings[0].port == "pump"
    wrong = upfeed("readings", build, "--at", "hello")
    assert (wrong.code, wrong.out) == (2, b"")
    si = upfeed("readings", build, "--at", "650 rpm, 100 C, 1 bar", "--units", "si").text
    assert "psi" not in si.replace("0.1 psi", "")
