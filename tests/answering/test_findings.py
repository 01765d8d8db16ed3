"""Findings: where they stand, what explains what, what the designer meant, what somebody takes on."""

import pytest

from upfeed.flow.survey import survey
from upfeed.judging.rules import WEIGHTS
from upfeed.reading.faults import DataFaults

PRELOAD = {"settings": {"preload": "-10 thou"}}
BLIND = {"slots": {"lifter": "BW-121"}}
WALK = "gallery-lifter-pushrod-rocker"

SAME_VALVES = {"exhaust_valve_material": "martensitic_steel", "intake_valve_material": "martensitic_steel"}
SAME_WARMTH = {
    "hot_idle": {"intake_valve_temperature": "200 C", "exhaust_valve_temperature": "200 C"},
}


def longer(by):
    return {"part": "PR-21", "has": {"length": f"{9.500 + float(by.removesuffix(' thou')) / 1000:.3f} in"}}


def by_role(of):
    valves = of.build.family.plan.valves
    return [
        (role, [i for i, valve in enumerate(valves) if valve[1] == role]) for role in ("intake", "exhaust")
    ]


def rules(answer):
    return [finding.rule for finding in answer.findings]


@pytest.fixture
def accepting(ask):
    def answer(finding, *, as_of="2026-11-01", until="2027-01-01", build=PRELOAD):
        taken = [{"finding": finding, "reason": "bench engine", "by": "Pellow", "until": until}]
        return ask(build, as_of=as_of, accepts=taken)

    return answer


def test_a_finding_is_named_by_its_rule_and_place(ask):
    for finding in ask(BLIND).findings:
        assert finding.id == f"{finding.rule}@{finding.place.id}"
        assert finding.place.walk == ["gallery", "lifter", "pushrod", "rocker"]
        assert finding.place.at == "all"


def test_findings_stand_in_order_of_weight(ask):
    build = {"slots": {"lifter": [{"at": "3 intake", "part": "BW-121"}]}, "settings": {"preload": "0 thou"}}
    weights = [WEIGHTS.index(finding.weighs) for finding in ask(build).findings]
    assert weights == sorted(weights)
    assert len(set(weights)) > 1


def test_like_parts_at_all_valves_are_one_finding_whatever_the_lobes(ask):
    answer = ask(BLIND)
    assert rules(answer).count("blind-lifter-ends-the-way") == 1


def test_parts_by_position_are_told_by_position(ask):
    for at, place in (("intake", "intake"), (3, "3 intake, 3 exhaust"), ("8 exhaust", "8 exhaust")):
        answer = ask(slots={"lifter": [{"at": at, "part": "BW-121"}]})
        blind = [f for f in answer.findings if f.rule == "blind-lifter-ends-the-way"]
        assert [finding.place.at for finding in blind] == [place]


def test_different_faults_at_different_valves_are_told_apart(ask):
    answer = ask(
        slots={
            "lifter": [{"at": "3 intake", "part": "BW-121"}],
            "pushrod": [{"at": "5 exhaust", "part": "PR-5"}],
        }
    )
    places = {(finding.rule, finding.place.at) for finding in answer.findings}
    assert ("blind-lifter-ends-the-way", "3 intake") in places
    assert ("solid-pushrod-ends-the-way", "5 exhaust") in places
    assert ("blind-lifter-ends-the-way", "5 exhaust") not in places


def test_a_root_names_its_consequences_and_decides_before_them(ask):
    answer = ask(PRELOAD)
    by_rule = {finding.rule: finding for finding in answer.findings}
    root, disc = by_rule["hydraulic-lifter-with-lash"], by_rule["disc-not-seated"]
    assert disc.id in root.explains
    assert set(disc.explains) >= {by_rule[r].id for r in ("more-oil-than-designed", "hot-idle-pressure-lost")}
    assert (answer.verdict, answer.decided_by) == ("stop", [root.id])


def test_cautions_decide_after_their_root(ask, accepting):
    lash = next(f.id for f in ask(PRELOAD).findings if f.rule == "hydraulic-lifter-with-lash")
    answer = accepting(lash)
    root = next(f for f in answer.findings if f.rule == "disc-not-seated")
    assert answer.verdict == "go_with_care"
    assert answer.decided_by[0] == root.id
    assert set(answer.decided_by) == {f.id for f in answer.findings if f.weighs == "caution"}


def test_a_finding_names_only_findings_it_explains(ask):
    for build in (PRELOAD, BLIND):
        answer = ask(build)
        ids = {finding.id for finding in answer.findings}
        for finding in answer.findings:
            assert set(finding.explains) <= ids - {finding.id}


def test_the_values_used_come_with_standing_source_and_place(ask):
    finding = next(f for f in ask(BLIND).findings if f.rule == "blind-lifter-ends-the-way")
    values = {quantity.name: quantity for quantity in finding.values}
    own, design = values["lifter.metering"], values["reference.lifter.metering"]
    assert (own.value, design.value) == ("blind", "disc")
    assert (own.standing, own.source) == ("published", "brackwater-catalogue")
    assert own.origin.file == "kb/demo/lifters.yaml"
    assert own.origin.line != design.origin.line


def test_limits_are_given_with_their_source(ask):
    finding = next(f for f in ask(PRELOAD).findings if f.rule == "more-oil-than-designed")
    limit = next(q for q in finding.values if q.name == "limits.too_much")
    assert (limit.source, limit.origin.file) == ("common-practice", "rules/path/limits.yaml")
    flow = next(c for c in finding.computed if c.name == "top_end_flow.hot_idle")
    assert flow.ratio >= limit.value
    assert flow.ratio == pytest.approx(flow.build / flow.reference, rel=1e-6)


def test_a_finding_quotes_the_intent_it_goes_against(ask, library):
    finding = next(f for f in ask(PRELOAD).findings if f.rule == "disc-not-seated")
    meant = next(
        intent.says
        for intent in library.knowledge.families["tarn-v8"].intents
        if intent.about == ("settings.preload", "lifter.disc_rise")
    )
    assert [against.says for against in finding.against] == [meant]
    assert finding.against[0].intent == "Tarnholt Motor Works: settings.preload, lifter.disc_rise"


def test_no_intent_is_quoted_about_what_is_as_designed(ask):
    finding = next(f for f in ask(slots={"oil": "MO-020"}).findings if f.rule == "hot-idle-pressure-lost")
    assert finding.against == []  # the oil is thin; what the rule is about is all as designed


def test_an_accepted_finding_stays_and_does_not_count(ask, accepting, upfeed, build_file):
    everything = [f.id for f in ask(PRELOAD).findings if f.weighs != "note"]
    taken = [
        {"finding": id_, "reason": "bench engine", "by": "Pellow", "until": "2027-01-01"}
        for id_ in everything
    ]
    answer = ask(PRELOAD, as_of="2026-11-01", accepts=taken)
    assert [f.id for f in answer.findings if f.accepted] == everything
    assert answer.findings[0].accepted.by == "Pellow"
    assert (answer.verdict, answer.decided_by, answer.as_of) == ("go", [], "2026-11-01")
    build = {"format": 1, "family": "tarn-v8", "as_of": "2026-11-01", "accepts": taken} | PRELOAD
    assert upfeed("check", build_file(build, "build.json"), "--fail-on", "note").code == 0


def test_what_is_not_accepted_still_decides(accepting):
    answer = accepting("disc-not-seated@gallery-lifter-pushrod/all")
    assert answer.verdict == "stop"
    assert "disc-not-seated" not in {id_.partition("@")[0] for id_ in answer.decided_by}
    assert "disc-not-seated" in rules(answer)


@pytest.mark.parametrize(
    ("as_of", "until", "holds"),
    [
        ("2026-11-01", "2026-10-31", False),
        ("2026-11-01", "2026-11-01", True),
        ("2026-11-01", "2026-11-02", True),
        ("2026-12-31", "2027-01-01", True),
        ("2027-01-01", "2026-12-31", False),
    ],
)
def test_an_acceptance_holds_through_its_last_day(accepting, as_of, until, holds):
    id_ = "disc-not-seated@gallery-lifter-pushrod/all"
    finding = next(f for f in accepting(id_, as_of=as_of, until=until).findings if f.id == id_)
    assert (finding.accepted is not None) is holds


def test_an_acceptance_is_of_one_place_only(accepting):
    answer = accepting("disc-not-seated@gallery-lifter-pushrod/3-intake")
    assert not any(finding.accepted for finding in answer.findings)


def test_a_stop_that_is_taken_on_no_longer_stops(ask):
    ids = [finding.id for finding in ask(BLIND).findings]
    taken = [{"finding": id_, "reason": "r", "by": "b", "until": "2027-01-01"} for id_ in ids]
    answer = ask(BLIND, as_of="2026-11-01", accepts=taken)
    assert answer.verdict == "go"
    assert len(answer.findings) == len(ids)


def test_valves_told_as_one_have_the_figures_of_the_worst_and_name_it(ask, library, sheet_of):
    """Hot, the six's exhaust valves keep some 7 thou more: lash is the worst at intake, depth at exhaust."""
    six = {"family": "dunmere-six"}
    for build, rule, end, worst in (
        (six | {"slots": {"pushrod": longer("-40 thou")}}, "hydraulic-lifter-with-lash", min, "intake"),
        (six | {"slots": {"pushrod": longer("60 thou")}}, "preload-too-deep", max, "exhaust"),
    ):
        (found,) = [f for f in ask(build).findings if f.rule == rule]
        assert found.place.at == "all"
        of = survey(sheet_of(build), library.knowledge, library.vocabulary)
        hot = {at: of.known("hot_preload.hot_idle", valves[0])[0] for at, valves in by_role(of)}
        (told,) = [c for c in found.computed if c.name == "hot_preload.hot_idle"]
        assert told.build == end(hot.values()) == hot[worst]
        assert min(hot.values()) < max(hot.values()) - 5 * 25.4e-6
        assert f"for the worst: {worst}." in found.says


def test_valves_of_like_figures_name_no_worst(ask):
    (blind,) = [f for f in ask(BLIND).findings if f.rule == "blind-lifter-ends-the-way"]
    assert "worst" not in blind.says
    tall = {"slots": {"cylinder_head": {"part": "DM-20", "has": SAME_VALVES}, "pushrod": longer("-60 thou")}}
    lash = [f for f in ask(tall, family="dunmere-six", points=SAME_WARMTH).findings if "with-lash" in f.rule]
    assert [("worst" in f.says, f.place.at) for f in lash] == [(False, "all")]


@pytest.mark.parametrize(
    ("rule", "at", "lapsed_by"),
    [
        ("more-oil-than-designed", "1.82", None),
        ("more-oil-than-designed", "1.8", None),
        ("more-oil-than-designed", "2.5", None),
        ("more-oil-than-designed", "1.6", "it has grown worse: 1.8, accepted at 1.6"),
        ("more-oil-than-designed", None, None),
    ],
)
def test_an_acceptance_up_to_a_figure_lapses_when_the_finding_has_grown_worse(ask, rule, at, lapsed_by):
    slots = {"lifter": "BW-133"}
    id_ = next(f.id for f in ask(slots=slots).findings if f.rule == rule)
    taken = {"finding": id_, "reason": "r", "by": "Pellow", "until": "2027-01-01"} | (
        {"at": at} if at else {}
    )
    answer = ask(slots=slots, as_of="2026-11-01", accepts=[taken])
    finding = next(f for f in answer.findings if f.id == id_)
    assert (finding.lapsed and finding.lapsed.lapsed_by) == lapsed_by
    assert (finding.accepted is None) is (lapsed_by is not None)
    assert answer.verdict == ("go" if lapsed_by is None else "go_with_care")
    assert finding.figure.shown == "1.8"
    assert finding.figure.worse_with == "more"


def test_what_grows_worse_by_growing_less_lapses_below_its_figure(ask):
    """Preload is the worse the less of it is left."""
    slots = {"pushrod": {"part": "PR-21", "has": {"length": "9.470 in"}}}
    six = {"family": "dunmere-six", "slots": slots}
    found = next(f for f in ask(six).findings if f.rule == "little-preload-left-hot")
    left = found.figure.value / 25.4e-6
    for at, holds in (
        (f"{left:.3g} thou", True),
        (f"{left - 5:.3g} thou", True),
        (f"{left + 5:.3g} thou", False),
    ):
        taken = {"finding": found.id, "reason": "r", "by": "b", "until": "2027-01-01", "at": at}
        answer = ask(six, as_of="2026-11-01", accepts=[taken])
        again = next(f for f in answer.findings if f.id == found.id)
        assert (again.accepted is not None) is holds


def test_a_lapsed_acceptance_says_when_its_last_day_was(accepting):
    id_ = "disc-not-seated@gallery-lifter-pushrod/all"
    finding = next(f for f in accepting(id_, as_of="2026-11-02", until="2026-11-01").findings if f.id == id_)
    assert finding.lapsed.lapsed_by == "its last day was 2026-11-01"


@pytest.mark.parametrize(("at", "told"), [("8 psi", "8 psi"), ("much", "much")])
def test_a_figure_of_another_quantity_is_a_data_fault(ask, at, told):
    id_ = next(f.id for f in ask(slots={"lifter": "BW-133"}).findings if f.rule == "more-oil-than-designed")
    taken = {"finding": id_, "reason": "r", "by": "b", "until": "2027-01-01", "at": at}
    with pytest.raises(DataFaults, match=told):
        ask(slots={"lifter": "BW-133"}, as_of="2026-11-01", accepts=[taken])


def test_a_rule_without_a_figure_takes_none(ask):
    id_ = next(f.id for f in ask(BLIND).findings if f.rule == "blind-lifter-ends-the-way")
    taken = {"finding": id_, "reason": "r", "by": "b", "until": "2027-01-01", "at": "1.2"}
    with pytest.raises(DataFaults, match="has no figure that grows"):
        ask(BLIND, as_of="2026-11-01", accepts=[taken])
