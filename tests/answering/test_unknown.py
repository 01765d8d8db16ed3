"""Taking measurements away turns what a rule says into unknown at most, never into the contrary."""

import json
from collections.abc import Mapping
from functools import cache
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shipped import shipped_library
from upfeed.answering.check import check
from upfeed.flow.survey import Survey, survey
from upfeed.judging.judge import judge
from upfeed.judging.walks import sites
from upfeed.knowledge.records import Part
from upfeed.knowledge.sheet import read_sheet
from upfeed.reading.yamltree import read_json

pytestmark = pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time

CASES = 2_000
BUILDS = 250  # each is solved once, whatever rules are asked of it
LIBRARY = shipped_library()
VOCABULARY, KNOWLEDGE, RULES = LIBRARY.vocabulary, LIBRARY.knowledge, LIBRARY.rulebook.rules
BW_118 = LIBRARY.knowledge.parts["BW-118"]
Content = dict[str, object]


def surveyed(content: Content) -> Survey:
    faults = []
    node = read_json(json.dumps({"format": 1, **content}), faults)
    sheet = node and read_sheet(node, KNOWLEDGE, VOCABULARY, faults)
    assert sheet, faults
    return survey(sheet, KNOWLEDGE, VOCABULARY, LIBRARY.topologies)


def outcomes(of: Survey) -> dict[str, dict[str, str]]:
    """By rule and place."""
    return {
        rule.id: {site.id: judge(rule, site).outcome for site in sites(of, rule.walks)}
        for rule in RULES.values()
    }


def fitting(of: str, slot: str) -> list[Part]:
    """Parts that a slot of a family takes and whose every needed value is known, the reference's first."""
    reference = KNOWLEDGE.families[of].reference.slots[slot][0].part
    parts = [KNOWLEDGE.parts[reference], *(p for p in KNOWLEDGE.parts.values() if p.kind == slot)]
    return [part for part in parts if of in part.relations.get("designed_for", (of,))]


def is_designed(family: str, slot: str, part: Part) -> bool:
    """Whether the reference has just this part everywhere, so that nobody need say so."""
    designed = KNOWLEDGE.families[family].reference.slots[slot]
    return [(fitting.part, fitting.has) for fitting in designed] == [(part.id, {})]


def needed(kind: str, has: Mapping[str, object]) -> list[str]:
    return [name for name in has if VOCABULARY.kinds[kind].attributes[name].needed]


def drawn(seed: int) -> tuple[Content, Content]:
    """A build, and the same with one to five of its measurements said to be unknown."""
    random = Random(seed)
    family = random.choice(sorted(KNOWLEDGE.families))
    slot = random.choice(sorted(KNOWLEDGE.families[family].reference.slots))
    part = random.choice(fitting(family, slot))
    known = [f"{slot}.{name}" for name in needed(slot, part.has)]
    set_ = [f"settings.{name}" for name in KNOWLEDGE.families[family].reference.settings]
    gone = random.sample([*known, *set_], min(random.choice([1, 1, 1, 2, 2, 3, 5]), len(known) + len(set_)))
    nulls = [name.partition(".") for name in gone]
    whole = {"family": family, "slots": {} if is_designed(family, slot, part) else {slot: {"part": part.id}}}
    has = {name: None for owner, _, name in nulls if owner == slot}
    less = {
        "family": family,
        "slots": {slot: {"part": part.id, "has": has}},
        "settings": {name: None for owner, _, name in nulls if owner == "settings"},
    }
    return whole, less


@cache
def both(seed: int) -> tuple[str, dict[str, dict[str, str]], dict[str, dict[str, str]]]:
    whole, less = drawn(seed)
    return json.dumps(less), known_outcomes(json.dumps(whole)), outcomes(surveyed(less))


@cache
def known_outcomes(whole: str) -> dict[str, dict[str, str]]:
    return outcomes(surveyed(json.loads(whole)))


@settings(max_examples=CASES, derandomize=True, deadline=None)
@given(seed=st.integers(1, BUILDS), rule=st.sampled_from(sorted(RULES)))
def test_taking_measurements_away_changes_an_outcome_only_to_unknown(seed, rule):
    build, before, after = both(seed)
    for place, outcome in after[rule].items():
        assert outcome in {before[rule].get(place), "unknown"}, (build, place)


def test_the_builds_drawn_keep_some_outcomes_and_lose_others():
    seen = {
        outcome for seed in range(1, 26) for places in both(seed)[2].values() for outcome in places.values()
    }
    assert seen == {"fires", "quiet", "unknown"}


def read(name: str, **slots: Content) -> set[object]:
    """What rules read at the first place of the whole way up."""
    (first, *_) = sites(surveyed({"family": "tarn-v8", "slots": slots}), (("gallery", "lifter", "pushrod"),))
    return set(first.read(name))


def test_what_depends_on_a_missing_place_is_unknown_though_all_corner_cases_agree():
    # No oil enters a band far below or far above the gallery, and it does at the right height.
    block: Content = {"part": "TN-1", "has": {"gallery_height": None}}
    assert read("top_end_flow.hot_idle", block=block) == {None}
    assert None not in read("hot_preload.hot_idle", block=block)
    assert None not in read("ways_up", block=block)


def test_what_depends_on_a_missing_size_lies_between_its_corner_cases():
    flows = read("top_end_flow.hot_idle", lifter={"part": "BW-118", "has": {"feed_hole": None}})
    assert len(flows) > 1
    assert None not in flows


def test_a_sample_of_corner_cases_decides_nothing_that_differs_within_it():
    lifter: Content = {"part": "BW-118", "has": dict.fromkeys(needed("lifter", BW_118.has))}
    assert read("top_end_flow.hot_idle", lifter=lifter) == {None}
    assert None not in read("oil.viscosity_100", lifter=lifter)


def cautions(**slots: Content) -> str:
    faults = []
    node = read_json(json.dumps({"format": 1, "family": "tarn-v8", "slots": slots}), faults)
    return " ".join(check(read_sheet(node, KNOWLEDGE, VOCABULARY, faults), LIBRARY).cautions)


def test_bounds_that_may_be_wider_are_said_to_be():
    lifter: Content = {"part": "BW-118", "has": dict.fromkeys(needed("lifter", BW_118.has))}
    assert "chosen combinations" in cautions(lifter=lifter)
    block: Content = {"part": "TN-1", "has": {"gallery_height": None}}
    assert "A height or an offset is not known" in cautions(block=block)
    assert "may be wider" not in cautions(lifter={"part": "BW-118", "has": {"feed_hole": None}})
    assert "may be wider" not in cautions()


def six(slots: Content) -> Mapping[str, object]:
    """What is read of a six whose rockers stand at a fixed height, and the outcomes by rule."""
    of = surveyed({"family": "dunmere-six", "slots": slots})
    return {rule: set(places.values()) for rule, places in outcomes(of).items()}


PRELOAD_RULES = (
    "hydraulic-lifter-with-lash",
    "little-preload-left-hot",
    "preload-too-deep",
    "plunger-bottomed",
)


def test_a_height_nobody_has_measured_leaves_preload_unknown_not_fine():
    for slot, part, name in (
        ("rocker", "HM-60", "cup_drop"),
        ("cylinder_head", "DM-20", "pivot_height"),
        ("gasket", "DM-31", "thickness"),
        ("cylinder_head", "DM-20", "exhaust_stem_proud"),
    ):
        found = six({slot: {"part": part, "has": {name: None}}})
        assert "unknown" in set().union(*(found[rule] for rule in PRELOAD_RULES)), name
        assert all(found[rule] <= {"quiet", "unknown"} for rule in PRELOAD_RULES), name


def test_heights_are_asked_for_only_where_preload_follows_from_them():
    rocker: Content = {"part": "HM-60", "has": {"cup_drop": None}}
    by_heights = surveyed({"family": "dunmere-six", "slots": {"rocker": rocker}})
    as_set = surveyed(
        {
            "family": "dunmere-six",
            "slots": {"rocker": rocker},
            "settings": {"preload_from": "set", "preload": "25 thou"},
        }
    )
    assert [m.name for m in by_heights.corners.missing] == ["rocker.cup_drop"]
    assert as_set.corners.missing == ()
