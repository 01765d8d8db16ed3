"""Each demo family beside what such engines are known to do; a builder has to believe the references."""

import json

import pytest

from shipped import BUILDS, answer_to, sheet_of, shipped_library
from upfeed.answering.answer import SolvedPoint
from upfeed.answering.check import check
from upfeed.knowledge.relations import PartGraph
from upfeed.knowledge.sheet import read_sheet
from upfeed.reading.jsontree import read_json
from upfeed.reading.units import parse

LIBRARY = shipped_library()

# Common practice, no source: a quick solve of typical sizes, which the references follow within a tenth.
# psi at hot idle, 2500 rpm and top speed; top-end L/min at idle and top speed; its share of the pump's oil at idle.
TYPICAL = {
    "tarn-v8": ((28.2, 57.7, 64.0), (0.58, 0.95), 0.17),
    "dunmere-six": ((29.2, 55.2, 58.4), (0.53, 0.81), 0.16),
    "calder-roller-v8": ((26.4, 56.9, 64.2), (0.67, 1.10), 0.18),
    "ashquill-twin": ((16.9, 34.1, 37.6), (0.18, 0.28), 0.15),
}
WITHIN = 0.10
REFERENCES = {
    "tarn-v8": "reference",
    "dunmere-six": "dunmere-six-reference",
    "calder-roller-v8": "calder-roller-v8-reference",
    "ashquill-twin": "ashquill-twin-reference",
    "wrenmoor-four": "wrenmoor-four-reference",
    "skelbeck-three": "skelbeck-three-reference",
    "orlebeck-five": "orlebeck-five-reference",
}


ANSWERS = {family: answer_to(build) for family, build in REFERENCES.items()}


def computed(answer):
    return {c.name: c for point in answer.points for c in point.computed}


def values(family, fact, points):
    by_name = computed(ANSWERS[family])
    return [by_name[f"{fact}.{point}"].build for point in points]


def test_every_family_has_a_reference_build_that_names_nothing_else():
    sheets = (sheet_of(build) for build in BUILDS if build.endswith("reference"))
    plain = {sheet.family for sheet in sheets if not (sheet.slots or sheet.settings or sheet.points)}
    assert plain == set(LIBRARY.knowledge.families)
    assert set(TYPICAL) < set(REFERENCES) <= plain


@pytest.mark.parametrize("family", TYPICAL)
def test_gallery_pressure_is_what_such_an_engine_holds(family):
    expected = [parse(f"{psi} psi", "pressure") for psi in TYPICAL[family][0]]
    found = values(family, "gallery_pressure", ("hot_idle", "cruise", "top_speed"))
    assert found == pytest.approx(expected, rel=WITHIN)


@pytest.mark.parametrize("family", TYPICAL)
def test_the_rockers_get_what_such_an_engine_sends_them(family):
    expected = [parse(f"{flow} L/min", "flow") for flow in TYPICAL[family][1]]
    assert values(family, "top_end_flow", ("hot_idle", "top_speed")) == pytest.approx(expected, rel=WITHIN)
    assert values(family, "top_end_share", ("hot_idle",)) == pytest.approx([TYPICAL[family][2]], rel=WITHIN)


@pytest.mark.parametrize("family", REFERENCES)
def test_hot_idle_and_the_rockers_share_are_what_the_trade_knows(family):
    """Common practice, no source: 15-30 psi at hot idle, the rockers taking 10-25 % of what the pump delivers."""
    (pressure,), (share,) = (values(family, f, ("hot_idle",)) for f in ("gallery_pressure", "top_end_share"))
    assert parse("15 psi", "pressure") <= pressure <= parse("30 psi", "pressure")
    assert 0.10 <= share <= 0.25


@pytest.mark.parametrize("family", REFERENCES)
def test_the_gallery_holds_seven_psi_for_every_thousand_turns(family):
    """Common practice, no source: 7-10 psi per 1000 rpm hot, up to the relief."""
    answer = ANSWERS[family]
    for point in answer.points:
        assert isinstance(point, SolvedPoint)
        needed = parse(f"{7 * point.speed_rpm / 1000} psi", "pressure")
        relief = LIBRARY.knowledge.parts[_part(answer, "oil_pump")].has["relief_opens"].magnitude
        assert computed(answer)[f"gallery_pressure.{point.point}"].build >= min(needed, relief)


def _part(answer, slot):
    return next(filled.part for filled in answer.build.slots if filled.slot == slot)


@pytest.mark.parametrize("family", REFERENCES)
def test_a_reference_build_raises_nothing(family):
    answer = ANSWERS[family]
    assert answer.verdict == "go"
    assert answer.findings == []
    assert answer.unknown == []


@pytest.mark.parametrize("family", REFERENCES)
def test_a_reference_beside_itself_is_one_throughout(family):
    named = [*computed(ANSWERS[family]).values(), *ANSWERS[family].timing]
    assert {c.ratio for c in named} <= {1.0, None}
    assert all(c.ratio == 1.0 for c in named if c.name.startswith(("gallery_pressure", "top_end_flow")))
    # Nothing to divide by: no oil there by design, an opening that never shuts, a word, or a fact not compared.
    rest = [c for c in named if c.ratio is None and not isinstance(c.reference, str)]
    facts = LIBRARY.vocabulary.facts
    assert all(not c.reference or not facts[c.name.partition(".")[0]].compared for c in rest)


def test_what_trapped_air_does_shows_as_a_band_in_the_timed_family_only():
    for family, answer in ANSWERS.items():
        band = computed(answer)["top_end_flow.hot_idle"].band
        assert (band is not None) == (family == "dunmere-six")


SAID = [(rule.id, build) for rule in LIBRARY.rulebook.rules.values() for build in rule.builds]


@pytest.mark.parametrize(("rule", "build"), SAID, ids=[f"{rule}: {build.build}" for rule, build in SAID])
def test_rules_do_on_example_builds_what_their_cases_say(rule, build):
    answer = answer_to(build.build)
    fires = rule in {finding.rule for finding in answer.findings}
    assert (build.expect == "fires") == fires


# Common practice, no source: what a builder would say to each.
VERDICTS = {
    "six-pushrod-fed-lifter": "go",
    "six-two-ways-up": "go_with_care",
    "six-feed-wide-open": "go_with_care",
    "six-gasket-without-hole": "stop",
    "six-ball-rocker": "stop",
    "roller-v8-blind-lifter": "stop",
    "roller-v8-six-lifter": "stop",
    "roller-v8-flat-lifter": "stop",
    "roller-v8-narrow-band": "go",
    "tarn-roller-lifter": "stop",
    "tarn-narrow-band": "go",
    "tarn-one-large-notch": "go_with_care",
    "tarn-band-too-high": "stop",
    "tarn-band-too-low": "stop",
    "tarn-raised-bores": "go",
    "tarn-preload-deep": "go_with_care",
    "tarn-preload-bottomed": "stop",
    "tarn-bores-worn": "go_with_care",
    "tarn-bores-worn-out": "stop",
    "tarn-gallery-restrictor": "go_with_care",
    "tarn-gallery-restrictor-tight": "go_with_care",
    "tarn-large-notches": "go_with_care",
    "tarn-large-notches-restricted-pushrods": "go",
    "tarn-pushrods-restricted-tight": "go_with_care",
    "twin-orifice-lifter": "go_with_care",
    "twin-wide-band": "go",
    "wrenmoor-cast-pedestals": "go",
    "wrenmoor-large-spout": "go",
    "wrenmoor-pedestal-drilled-through": "go_with_care",
    "wrenmoor-solid-pedestals": "stop",
    "wrenmoor-needle-rockers": "stop",
    "skelbeck-narrow-line": "go",
    "skelbeck-without-restrictor": "go_with_care",
    "skelbeck-line-left-off": "stop",
    "orlebeck-head-restrictor-tight": "go_with_care",
    "orlebeck-head-restrictor-wide": "go_with_care",
    "orlebeck-large-weep": "go_with_care",
    "orlebeck-solid-pushrods": "stop",
    "orlebeck-closed-rockers": "stop",
    "orlebeck-lifter-in-the-six": "stop",
}


@pytest.mark.parametrize("build", VERDICTS)
def test_the_verdict_is_what_a_builder_would_say(build):
    assert answer_to(build).verdict == VERDICTS[build]


@pytest.mark.parametrize("build", VERDICTS)
def test_a_defect_appears_once(build):
    """Whatever follows from something else stands under it; side by side stand only different defects."""
    answer = answer_to(build)
    explained = {id_ for finding in answer.findings for id_ in finding.explains}
    roots = [finding.rule for finding in answer.findings if finding.id not in explained]
    consequences = {"no-way-up", "more-oil-than-designed", "less-oil-than-designed", "hot-idle-pressure-lost"}
    if len(roots) > 1:
        assert not consequences & set(roots)


def test_one_odd_lifter_is_found_where_it_stands():
    (finding,) = answer_to("tarn-one-large-notch").findings
    assert finding.place.at == "6 exhaust"


def test_a_second_way_up_is_counted():
    (finding,) = [f for f in answer_to("six-two-ways-up").findings if f.rule == "two-ways-up"]
    assert {c.name: c.build for c in finding.computed}["ways_up"] == 2


def test_the_demo_is_large_enough_to_mix():
    demo = [part for part in LIBRARY.knowledge.parts.values() if part.origin.file.startswith("kb/demo/")]
    assert len(demo) >= 40
    shared = [
        part
        for part in demo
        if part.kind in ("lifter", "pushrod", "rocker") and part.relations.get("same_envelope_as")
    ]
    assert len(shared) >= 5


def test_five_parts_go_into_two_families_and_differ_in_oiling(library):
    shared = [p for p in library.knowledge.parts.values() if len(p.relations.get("designed_for", ())) > 1]
    ways = {(p.has["metering"].magnitude, p.has["feed_hole"].magnitude, _size(p)) for p in shared}
    assert len(shared) >= 5
    assert len(ways) == len(shared)
    assert all(len(PartGraph(library.knowledge).same_envelope(p.id)) >= 4 for p in shared)


def _size(part):
    return tuple(
        part.has[n].magnitude for n in ("notch_area", "metering_orifice", "cup_fit_body") if n in part.has
    )


@pytest.mark.parametrize(
    ("lifter", "in_the_v8", "in_the_twin"),
    [("OS-51", "go", "go_with_care"), ("OS-52", "go_with_care", "go"), ("OS-54", "stop", "stop")],
)
def test_the_same_lifter_is_judged_by_the_family_it_goes_into(library, lifter, in_the_v8, in_the_twin):
    verdicts = [_verdict(library, family, lifter) for family in ("calder-roller-v8", "ashquill-twin")]
    assert verdicts == [in_the_v8, in_the_twin]


# Their cup stands 150 thou lower than the roller V8's own lifter and as much higher than the twin's.
CUT_PUSHRODS = {"calder-roller-v8": ("PR-31", "7.450 in"), "ashquill-twin": ("PR-41", "10.350 in")}


def _verdict(library, family, lifter):
    part, length = CUT_PUSHRODS[family]
    slots = {"lifter": lifter, "pushrod": {"part": part, "has": {"length": length}}}
    node = read_json(json.dumps({"format": 1, "family": family, "slots": slots}), [])
    return check(read_sheet(node, library.knowledge, library.vocabulary, []), library).verdict
