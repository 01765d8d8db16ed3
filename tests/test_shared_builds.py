"""The example builds that come with upfeed, and what the rules say they show."""

from functools import cache

import pytest

from shipped import BUILDS, answer_to, sheet_of, shipped_library
from upfeed.answering.findings import rulings
from upfeed.flow.survey import survey

pytestmark = pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time

LIBRARY = shipped_library()
SHOWN = [
    (rule.id, case.build, case.expect) for rule in LIBRARY.rulebook.rules.values() for case in rule.builds
]


@cache
def outcomes_of(build):
    """The rules that fire, and those that cannot tell."""
    surveyed = survey(sheet_of(build), LIBRARY.knowledge, LIBRARY.vocabulary, LIBRARY.topologies)
    ruled = rulings(surveyed, LIBRARY.rulebook)
    fired, unknown = ({r.judged.rule.id for r in of} for of in (ruled.fired, ruled.unknown))
    return fired, unknown


@pytest.mark.parametrize(("rule", "build", "expect"), SHOWN, ids=[f"{b}: {r} {e}" for r, b, e in SHOWN])
def test_a_build_shows_what_a_rule_says_it_shows(rule, build, expect):
    fired, unknown = outcomes_of(build)
    if expect == "fires":
        assert rule in fired
    elif expect == "unknown":
        assert rule in unknown
        assert rule not in fired
    else:
        assert rule not in fired | unknown


@pytest.mark.parametrize("rule", LIBRARY.rulebook.rules.values(), ids=lambda rule: rule.id)
def test_every_rule_is_shown_to_stay_quiet_on_a_reference_build(rule):
    quiet = {case.build for case in rule.builds if case.expect == "quiet"}
    assert any(build.endswith("reference") for build in quiet)


@pytest.mark.parametrize("build", [name for name in BUILDS if name.endswith("reference")])
def test_reference_builds_raise_nothing(build):
    assert (answer_to(build).verdict, answer_to(build).findings) == ("go", [])
    assert outcomes_of(build) == (set(), set())


MIXED = [name for name in BUILDS if name.startswith("mixed-")]


@pytest.mark.parametrize("build", MIXED)
def test_parts_of_several_families_that_go_together_raise_nothing(build):
    assert (answer_to(build).verdict, answer_to(build).findings) == ("go", [])
    assert outcomes_of(build) == (set(), set())


def test_mixed_builds_are_of_every_family_and_hold_what_was_made_for_others():
    assert len(MIXED) >= 12
    sheets = [sheet_of(name) for name in MIXED]
    families = LIBRARY.knowledge.families
    assert {sheet.family for sheet in sheets} == set(families)
    for sheet in sheets:
        own = {f.part for row in families[sheet.family].reference.slots.values() for f in row}
        assert {f.part for row in sheet.slots.values() for f in row} - own, sheet.id


def test_every_family_has_its_reference_among_the_examples():
    families = {answer_to(name).build.family for name in BUILDS if name.endswith("reference")}
    assert families == set(LIBRARY.knowledge.families)


@pytest.mark.parametrize(
    ("build", "verdict"),
    [
        ("blind-lifter", "stop"),
        ("one-odd-lifter", "stop"),
        ("preload-lost", "stop"),
        ("thin-oil", "go_with_care"),
        ("tarn-drain-masked", "go_with_care"),
        ("tarn-covers-flooded", "stop"),
        ("feed-hole-enlarged", "go"),
        ("feed-hole-unknown", "go"),
        ("notch-unknown", "cannot_tell_yet"),
        ("tarn-reground-read-off", "go"),
        ("tarn-clearance-read-on-the-bench", "go"),
        ("tarn-worn-notch-read-on-the-bench", "go_with_care"),
        ("reference", "go"),
    ],
)
def test_the_examples_of_the_flat_v8_come_out_as_a_builder_expects(build, verdict):
    assert answer_to(build).verdict == verdict  # common practice, no source


def test_a_lost_preload_costs_what_the_trade_says():
    """Five to six psi at hot idle with no preload on all sixteen: common practice, no source."""
    idle = {c.name: c for c in answer_to("preload-lost").points[0].computed}
    lost = idle["gallery_pressure.hot_idle"].reference - idle["gallery_pressure.hot_idle"].build
    assert 4.5 <= lost / 6894.757 <= 6.5  # 1 psi is 6894.757 Pa (NIST SP 811)


def test_a_feed_hole_27_percent_larger_changes_next_to_nothing():
    """The path decides, not the hole: 1.61 times the area, the same oil (common practice, no source)."""
    idle = {c.name: c for c in answer_to("feed-hole-enlarged").points[0].computed}
    assert idle["top_end_flow.hot_idle"].ratio == pytest.approx(1.0, abs=0.02)


def test_every_answer_is_solved_where_all_is_known():
    for name, answer in ((name, answer_to(name)) for name in BUILDS):
        if not answer.unknown:
            assert {type(point).__name__ for point in answer.points} == {"SolvedPoint"}, name
