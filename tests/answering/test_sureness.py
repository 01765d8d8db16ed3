"""How often a verdict and its findings hold, and what to measure first."""

import numpy as np
import pytest

from upfeed.answering.answer import SolvedPoint
from upfeed.answering.check import check
from upfeed.answering.wire import encode
from upfeed.knowledge.build import reference_build, resolve
from upfeed.knowledge.draws import draws

SWAP = {"slots": {"lifter": "BW-126"}}
LOST = {"settings": {"preload": "0 thou"}}


@pytest.fixture(scope="module")
def drawn(library, sheet_of):
    def answer(build=None, samples=32, system="shop", **more):
        return check(sheet_of(build, **more), library, system, samples)

    return answer


def computed(answer, point=0):
    return {c.name.partition(".")[0]: c for c in answer.points[point].computed}


def sized(part, **sizes):
    has = {n: {"is": value, "plus_minus": off} for n, (value, off) in sizes.items()}
    return {"slots": {"lifter": {"part": part, "has": has}}}


def test_no_draws_leave_every_field_there_and_empty(drawn):
    answer = drawn(SWAP, samples=0)
    assert (answer.how_sure.samples, answer.how_sure.verdict_holds_in) == (0, None)
    assert (answer.how_sure.verdicts, answer.how_sure.near_misses, answer.how_sure.hangs_on) == ([], [], None)
    assert answer.measure_first == []
    assert {finding.holds_in for finding in answer.findings} == {None}
    assert {c.ratio_band for point in answer.points for c in point.computed} == {None}


def test_draws_change_bounds_and_shares_and_nothing_else(drawn):
    """Beside a note that a rough value decides, which nothing but draws can tell."""
    none, some = drawn(LOST, samples=0), drawn(LOST)
    assert none.verdict == some.verdict
    assert none.decided_by == some.decided_by
    assert none.digests == some.digests
    counted = [finding for finding in some.findings if finding.rule != "rough-value-decides"]
    for one, other in zip(none.findings, counted, strict=True):
        assert (one.id, one.says, one.values) == (other.id, other.says, other.values)
    for one, other in zip(none.points, some.points, strict=True):
        for a, b in zip(one.computed, other.computed, strict=True):
            assert (a.name, a.build, a.reference, a.ratio) == (b.name, b.build, b.reference, b.ratio)


def test_the_same_bytes_every_time(drawn):
    assert encode(drawn(SWAP)) == encode(drawn(SWAP))


def test_bounds_lie_round_the_numbers(drawn):
    answer = drawn(SWAP)
    for point in answer.points:
        assert isinstance(point, SolvedPoint)
        for c in point.computed:
            if c.band and c.build:
                assert c.band[0] <= c.build * 1.001
                assert c.band[1] >= c.build * 0.999
            if c.ratio_band:
                assert c.ratio_band[0] <= c.ratio * 1.001
                assert c.ratio_band[1] >= c.ratio * 0.999
    assert all(rung.pressure.band and rung.share_of_drop.ratio_band for rung in answer.path)
    assert all(c.band for finding in answer.findings for c in finding.computed if c.unit)


def test_a_reference_build_is_sure_of_its_ratios(drawn):
    answer = drawn()
    bands = {c.ratio_band for point in answer.points for c in point.computed if c.ratio is not None}
    assert bands == {(1.0, 1.0)}
    assert answer.how_sure.verdict_holds_in == 1.0


def test_a_verdict_that_no_size_can_move(drawn):
    answer = drawn(slots={"lifter": "BW-121"})
    assert answer.verdict == "stop"
    assert answer.how_sure.verdict_holds_in == 1.0
    assert [(v.verdict, v.share) for v in answer.how_sure.verdicts] == [("stop", 1.0)]
    assert {f.holds_in for f in answer.findings if f.weighs == "stop"} == {1.0}


def share_of_body(body, library, sheet_of):
    """What the body has in how far the fit may be off, in these very draws: they correlate a little by chance."""
    made = resolve(
        sheet_of(sized("BW-118", body_diameter=(body, "0.02 mm"))), library.knowledge, library.vocabulary
    )
    designed = reference_build(made.family, library.knowledge, library.vocabulary)
    engines = draws(made, designed, library.vocabulary, 64).builds
    bodies = np.array([engine.at("lifter", 0)["body_diameter"] for engine in engines])
    bores = np.array([engine.at("block", 0)["lifter_bore"] for engine in engines])
    return np.var(bodies) / np.var(bores - bodies)


def test_a_value_near_a_limit_flips_the_verdict_and_is_the_one_to_measure(drawn, library, sheet_of):
    """The fit at which a lifter counts as loose lies in the middle of what this body's diameter may be."""
    limit = library.rulebook.rules["lifter-fit-loose"].limits["limits.loose_fit"].value
    bore = library.knowledge.parts["TN-1"].has["lifter_bore"].magnitude
    body = f"{(bore - limit) * 1e3:.5f} mm"
    answer = drawn(sized("BW-118", body_diameter=(body, "0.02 mm")), samples=64)
    loose = [f.holds_in for f in answer.findings if f.rule == "lifter-fit-loose"]
    near = [n.fires_in for n in answer.how_sure.near_misses if n.rule == "lifter-fit-loose"]
    assert (loose + near)[0] == pytest.approx(0.5, abs=0.1)
    assert answer.how_sure.hangs_on.rule == "lifter-fit-loose"
    first = answer.measure_first[0]
    assert (first.name, first.slot, first.at) == ("lifter.body_diameter", "lifter", "all")
    assert first.share == pytest.approx(share_of_body(body, library, sheet_of), abs=0.05)
    assert "micrometer" in first.measure
    assert first.decides
    assert answer.how_sure.verdict_holds_in == pytest.approx(0.5, abs=0.1)
    assert sum(v.share for v in answer.how_sure.verdicts) == pytest.approx(1, abs=0.002)


def test_a_measured_value_decides_nothing_any_more(drawn, library):
    limit = library.rulebook.rules["lifter-fit-loose"].limits["limits.loose_fit"].value
    bore = library.knowledge.parts["TN-1"].has["lifter_bore"].magnitude
    has = {"is": f"{(bore - limit) * 1e3:.5f} mm", "plus_minus": "0.02 mm", "standing": "measured"}
    answer = drawn(slots={"lifter": {"part": "BW-118", "has": {"body_diameter": has}}}, samples=64)
    first = answer.measure_first[0]
    assert (first.name, first.standing, first.decides) == ("lifter.body_diameter", "measured", False)


def test_better_standing_makes_a_verdict_no_less_sure_and_bounds_narrower(drawn):
    def width(standing):
        has = {"notch_area": {"is": "0.042 mm2", "standing": standing}}
        return np.ptp(
            computed(drawn(slots={"lifter": {"part": "BW-126", "has": has}}))["top_end_flow"].ratio_band
        )

    widths = [width(standing) for standing in ("measured", "published", "typical", "assumed")]
    assert widths == sorted(widths)
    assert widths[3] > 2 * widths[0]


def test_an_accepted_finding_no_longer_counts_in_any_draw(drawn):
    before = drawn(LOST)
    accepts = [
        {"finding": f.id, "reason": "a test engine", "by": "Pellow", "until": "2027-01-01"}
        for f in before.findings
        if f.weighs != "note"
    ]
    after = drawn(LOST, as_of="2026-12-01", accepts=accepts)
    assert after.verdict == "go"
    gone = {v.verdict: v.share for v in after.how_sure.verdicts}
    assert gone.get("stop", 0.0) <= max(n.fires_in for n in after.how_sure.near_misses)
    assert after.how_sure.verdict_holds_in == gone["go"]


def test_near_misses_are_few_heavy_and_not_among_the_findings(drawn):
    for build in (LOST, SWAP, {"family": "dunmere-six"}):
        answer = drawn(build)
        near = answer.how_sure.near_misses
        assert len(near) <= 5
        assert all(n.weighs != "note" and n.fires_in > 0.05 for n in near)
        assert [n.weighs for n in near] == sorted((n.weighs for n in near), key=["stop", "caution"].index)


def test_nothing_is_drawn_while_something_is_missing(drawn):
    for build in (
        {"slots": {"lifter": {"part": "BW-118", "has": {"notch_area": None}}}},
        {"open": ["lifter"]},
    ):
        answer = drawn(build)
        assert answer.how_sure.samples == 0
        assert answer.measure_first == []
    missing = drawn(slots={"lifter": {"part": "BW-118", "has": {"notch_area": None}}})
    assert (
        computed(missing)["top_end_flow"].band
        == computed(drawn(slots={"lifter": {"part": "BW-118", "has": {"notch_area": None}}}, samples=0))[
            "top_end_flow"
        ].band
    )


def test_one_odd_lifter_is_told_with_its_place(drawn):
    has = {"notch_area": {"is": "0.042 mm2", "standing": "assumed"}}
    odd = {"at": "3 intake", "part": "BW-126", "has": has}
    answer = drawn(slots={"lifter": [odd]}, samples=64)
    first = answer.measure_first[0]
    assert (first.name, first.at) == ("lifter.notch_area", "3 intake")
