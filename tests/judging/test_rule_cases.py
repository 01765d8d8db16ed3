import re
from pathlib import Path

import pytest

from upfeed.judging.judge import judge
from upfeed.judging.rulefolder import load_rules
from upfeed.keeping.casetest import Shown
from upfeed.knowledge.load import Layer
from upfeed.knowledge.vocabularyfile import read_vocabulary

TOP = Path(__file__).parents[2]
RULEBOOK = load_rules(
    [Layer("base", TOP / "rules")], read_vocabulary(TOP / "shared" / "vocabulary"), ["common-practice"]
)
CASES = [(rule, case) for rule in RULEBOOK.rules.values() for case in rule.cases]


@pytest.mark.parametrize(("rule", "case"), CASES, ids=[f"{rule.id}: {case.case}" for rule, case in CASES])
def test_every_case_comes_out_as_written(rule, case):
    judged = judge(rule, Shown(case.facts))
    assert judged.outcome == case.expect
    assert sorted(judged.blocked_by) == sorted(case.blocked_by)
    if case.expect == "fires":
        assert judged.says() == case.says


@pytest.mark.parametrize("rule", RULEBOOK.rules.values(), ids=lambda rule: rule.id)
def test_taking_any_fact_of_a_case_away_leaves_the_outcome_or_makes_it_unknown(rule):
    for case in rule.cases:
        before = judge(rule, Shown(case.facts)).outcome
        for name in case.facts:
            assert judge(rule, Shown(case.facts | {name: None})).outcome in {before, "unknown"}


@pytest.mark.parametrize("rule", RULEBOOK.rules.values(), ids=lambda rule: rule.id)
def test_sentences_are_calm_and_say_where_a_rule_comes_from(rule):
    for text in (rule.why, *(case.says or "" for case in rule.cases)):
        assert "!" not in text
        assert text == "" or text.endswith(".")
        assert not [word for word in text.split() if word.isalpha() and word.isupper() and len(word) > 1]
    assert rule.sources


@pytest.mark.parametrize("rule", RULEBOOK.rules.values(), ids=lambda rule: rule.id)
def test_every_firing_sentence_also_speaks_metric(rule):
    for case in rule.cases:
        if case.expect == "fires":
            spoken = judge(rule, Shown(case.facts)).says("si")
            assert not re.findall(r"\d (?:in|thou|psi)\b", spoken)
