"""Lifters whose metering is known by what they let by on a bench, from the build to the answer."""

import numpy as np
import pytest

from upfeed.answering.library import open_library
from upfeed.knowledge.build import reference_build, resolve
from upfeed.knowledge.draws import draws
from upfeed.physics.laws import fit, hole, opening
from upfeed.physics.oil import oil_at
from upfeed.physics.resistance import flow, in_series
from upfeed.reading.faults import DataFaults

C = 273.15
BENCH = {
    "bench_pressure": "40 psi",
    "bench_temperature": "26 C",
    "bench_viscosity_40": "10 cSt",
    "bench_viscosity_100": "2.7 cSt",
    "bench_density_15": "850 kg/m3",
}
SIZES = {"BW-118": "notch_area", "BW-140": "cup_fit_bore", "BW-131": "metering_orifice"}


def metering(has):
    if has["metering"] == "disc":
        return opening(has["notch_area"], 0.0)  # clamped, a disc has its notch alone
    if has["metering"] == "orifice":
        return hole(has["metering_orifice"], has["orifice_length"])
    return fit(has["cup_fit_bore"], has["cup_fit_body"], has["cup_fit_length"], 0.5)


def caught(library, part, psi=40.0, celsius=26.0, nu=(10.0, 2.7), rho=850.0):
    """Straight from the laws: what a lifter of the catalogue lets by on a bench, mL/min."""
    has = {name: value.magnitude for name, value in library.knowledge.parts[part].has.items()}
    whole = in_series(hole(has["feed_hole"], has["wall"]), hole(has["cup_hole"], 1.5e-3), metering(has))
    mu, density = oil_at(celsius + C, nu[0] * 1e-6, nu[1] * 1e-6, rho)
    return float(flow(psi * 6894.757293168, whole, mu, density)) * 6e7


def benched(given, part, flow_ml, **more):
    """A lifter of the catalogue with its metering's size left out and a bench flow in its place."""
    has = given(part, SIZES[part]) | BENCH | {"bench_flow": f"{flow_ml:.9g} mL/min"} | more
    return {"slots": {"lifter": {"has": has}}}


def of(answer, fact, point=0):
    (found,) = [c for c in answer.points[point].computed if c.name.startswith(f"{fact}.")]
    return found


@pytest.fixture
def built(library, sheet_of):
    """The lifter of a build with what follows from its values."""

    def lifter(build):
        return resolve(sheet_of(build), library.knowledge, library.vocabulary).at("lifter", 0).has

    return lifter


@pytest.mark.parametrize("part", SIZES)
@pytest.mark.parametrize(
    ("psi", "celsius", "nu"), [(40, 26, (10, 2.7)), (8, 60, (2.6, 1.1)), (60, 90, (105, 14))]
)
def test_a_bench_flow_computed_forward_gives_the_same_oil_back(ask, library, given, part, psi, celsius, nu):
    bench = {
        "bench_pressure": f"{psi} psi",
        "bench_temperature": f"{celsius} C",
        "bench_viscosity_40": f"{nu[0]} cSt",
        "bench_viscosity_100": f"{nu[1]} cSt",
    }
    build = benched(given, part, caught(library, part, psi, celsius, nu), **bench)
    known, told = ask(slots={"lifter": part}), ask(build)
    for i in range(len(known.points)):
        for fact in ("top_end_flow", "worst_valve_flow", "gallery_pressure"):
            assert of(told, fact, i).build == pytest.approx(of(known, fact, i).build, rel=1e-3)
    assert told.verdict == known.verdict


def test_the_size_is_the_one_the_lifter_has(built, library, given):
    for part, size in SIZES.items():
        has = built(benched(given, part, caught(library, part)))
        designed = library.knowledge.parts[part].has[size].magnitude
        # Of a bore it is the clearance that counts, a few thousandths of it.
        assert has[size].magnitude == pytest.approx(designed, rel=1e-7)
        assert has[size].follows_from == "bench_flow"
        assert "worked out from the bench flow" in has[size].note


def test_a_bench_flow_goes_before_a_size_beside_it(built, library, given):
    flow_ml = caught(library, "BW-118")
    beside = built(benched(given, "BW-118", flow_ml, notch_area="0.2 mm2"))["notch_area"]
    assert beside.magnitude == built(benched(given, "BW-118", flow_ml))["notch_area"].magnitude


def test_what_a_build_changes_leaves_the_metering_as_it_was_on_the_bench(built, library):
    """A build may drill the feed hole out, or shut it far below what the bench flow took."""
    was = library.knowledge.parts["PD-31"].has["cup_fit_bore"]
    for has in (
        {"feed_hole": "2 mm"},
        {"feed_hole": "0.3 mm"},
        {"feed_hole": None},
        {"body_length": "2.1 in"},
    ):
        now = built({"slots": {"lifter": {"part": "PD-31", "has": has}}})["cup_fit_bore"]
        assert now.magnitude == was.magnitude
    own = built({"slots": {"lifter": {"part": "PD-31", "has": {"cup_fit_bore": "0.6630 in"}}}})
    assert own["cup_fit_bore"].magnitude == pytest.approx(0.6630 * 25.4e-3)
    assert not own["cup_fit_bore"].follows_from


def test_a_new_reading_tells_a_new_size(built, library):
    was = library.knowledge.parts["PD-31"].has["cup_fit_bore"]
    more = built({"slots": {"lifter": {"part": "PD-31", "has": {"bench_flow": "60 mL/min"}}}})["cup_fit_bore"]
    assert more.magnitude > was.magnitude
    warmer = {"part": "PD-31", "has": {"bench_temperature": "40 C"}}
    assert built({"slots": {"lifter": warmer}})["cup_fit_bore"].magnitude < was.magnitude


def test_a_size_is_as_well_known_as_the_worst_reading(built, library, given):
    guess = {"is": "10 cSt", "standing": "assumed"}
    has = built(benched(given, "BW-118", caught(library, "BW-118"), bench_viscosity_40=guess))
    assert has["notch_area"].standing == "assumed"
    assert has["notch_area"].origin.pointer == "/slots/lifter/has/bench_flow"


@pytest.mark.parametrize(
    ("part", "has", "told"),
    [
        (
            "BW-118",
            {"bench_flow": "0 mL/min"},
            "found 0 mL/min; expected some oil. A lifter that lets none by",
        ),
        (
            "BW-118",
            {"bench_flow": "2 L/min"},
            "expected less than the 1192 mL/min that the rest of the lifter passes",
        ),
        ("BW-118", {"bench_flow": "1180 mL/min"}, "expected what a notch area of 0.001 mm2 to 3 mm2 lets by"),
        ("BW-118", {"bench_flow": "0.1 mL/min"}, "expected what a notch area of 0.001 mm2 to 3 mm2 lets by"),
        ("BW-118", {"metering": "blind"}, "expected none. With metering blind no oil passes that way."),
        ("BW-118", {"bench_viscosity_100": "12 cSt"}, "expected oil that is thinner hot than cold"),
    ],
)
def test_a_bench_flow_that_cannot_be_is_refused_with_its_reason(faults_of, given, part, has, told):
    faults = faults_of(benched(given, part, 40.0, **has))
    assert any(told in fault for fault in faults), faults
    assert all(fault.startswith("at /slots/lifter/has/") for fault in faults)


def test_a_bench_flow_of_a_catalogue_is_refused_by_file_and_line(tmp_path):
    (tmp_path / "parts.yaml").write_text(
        """\
format: 1
standing: measured
source: pellow-bench-book
parts:
  - part: MX-7
    kind: lifter
    name: Marl 7
    maker: Marl
    has:
      metering: disc
      feed_hole: 1.3 mm
      wall: 2 mm
      cup_hole: 1.4 mm
      bench_flow: 3 L/min
      bench_pressure: 40 psi
      bench_temperature: 26 C
      bench_viscosity_40: 10 cSt
      bench_viscosity_100: 2.7 cSt
      bench_density_15: 850 kg/m3
""",
        encoding="utf-8",
    )
    with pytest.raises(DataFaults) as wrong:
        open_library([tmp_path])
    (fault,) = wrong.value.faults
    assert (fault.origin.line, fault.path, fault.found) == (14, "lifter MX-7, bench_flow", "3 L/min")
    assert fault.advice == "Check jug, watch, gauge, feed hole and the oil's temperature."


@pytest.mark.parametrize("lacking", ["bench_temperature", "bench_pressure", "bench_density_15", "cup_hole"])
def test_a_reading_that_is_missing_leaves_the_size_unknown(ask, given, lacking):
    answer = ask(benched(given, "BW-118", 49.0, **{lacking: None}))
    missing = {unknown.name: unknown for unknown in answer.unknown}
    assert "lifter.notch_area" in missing
    words = lacking.replace("_", " ")
    assert missing["lifter.notch_area"].measure.endswith(f"; or, for the bench flow to tell it: {words}")
    assert of(answer, "top_end_flow").band is not None
    assert of(answer, "top_end_flow").build is None


def test_a_notch_beside_half_a_bench_flow_stands(ask, given):
    build = benched(given, "BW-118", 300.0, bench_temperature=None, notch_area="0.042 mm2")
    known = ask(slots={"lifter": {"has": given("BW-118")}})
    assert of(ask(build), "top_end_flow").build == of(known, "top_end_flow").build


def test_seat_and_rise_of_a_disc_take_no_part_in_it(built, library, given):
    without = dict.fromkeys(("seat_inner", "seat_outer", "disc_rise"))
    has = built(benched(given, "BW-118", caught(library, "BW-118"), **without))
    designed = library.knowledge.parts["BW-118"].has["notch_area"].magnitude
    assert has["notch_area"].magnitude == pytest.approx(designed, rel=1e-7)


def test_the_answer_says_what_was_worked_out(ask):
    answer = ask(slots={"lifter": "PD-32"})
    (lifter,) = [slot for slot in answer.build.slots if slot.slot == "lifter"]
    (notch,) = lifter.worked_out
    assert (notch.name, notch.standing, notch.origin.line) == ("lifter.notch_area", "published", 66)
    assert notch.worked_out == "worked out from the bench flow, 140 mL/min at 40 psi and 26 C"
    (hole,) = [slot.worked_out for slot in answer.build.slots if slot.slot == "pushrod"]
    assert hole == []


def test_text_and_show_say_so(upfeed):
    shown, checked = (
        upfeed("show", "PD-31"),
        upfeed("check", "shared/builds/tarn-clearance-read-on-the-bench.yaml"),
    )
    for told in (shown, checked):
        plain = " ".join(told.text.split())
        assert "worked out from the bench flow, 46 mL/min at 40 psi and 26 C" in plain


def test_every_draw_works_its_size_out_anew(library, sheet_of):
    """The clearance follows the oil caught, not the two diameters that no micrometer tells well enough."""
    made = resolve(sheet_of(slots={"lifter": "PD-31"}), library.knowledge, library.vocabulary)
    designed = reference_build(made.family, library.knowledge, library.vocabulary)
    drawn = draws(made, designed, library.vocabulary, 64)
    names = {i.name for i in drawn.inputs}
    assert {"lifter.bench_flow", "lifter.bench_temperature", "lifter.bench_viscosity_40"} <= names
    assert "lifter.cup_fit_bore" not in names
    lifters = [variant.at("lifter", 0) for variant in drawn.builds]
    clearance = np.array([has["cup_fit_bore"] - has["cup_fit_body"] for has in lifters])
    body = np.array([has["cup_fit_body"] for has in lifters])
    given = library.knowledge.parts["PD-31"].has
    as_read = given["cup_fit_bore"].magnitude - given["cup_fit_body"].magnitude
    # A flow through a fit goes with the cube of it: what is off by some 15 % in all leaves it off by 5 %.
    assert np.abs(clearance / as_read - 1).max() < 0.06
    assert np.ptp(clearance) > 0.01 * as_read
    assert np.ptp(body) > 0.1 * as_read


def test_a_metering_left_as_it_was_spreads_by_its_standing(library, sheet_of):
    changed = {"part": "PD-31", "has": {"feed_hole": "2 mm"}}
    made = resolve(sheet_of(slots={"lifter": changed}), library.knowledge, library.vocabulary)
    designed = reference_build(made.family, library.knowledge, library.vocabulary)
    names = {i.name for i in draws(made, designed, library.vocabulary, 16).inputs}
    assert "lifter.cup_fit_bore" in names
    assert not any("bench" in name for name in names)
