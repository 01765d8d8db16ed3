"""What counts since an earlier answer: by weight, by figure, and where an acceptance no longer holds."""

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from made_findings import TAKEN, Made, figure, made
from upfeed.advising.comparing.earlier import Earlier
from upfeed.advising.comparing.since import reckon
from upfeed.answering.wire import encode


def kept(answer):
    """An answer as it is read back from where it was kept."""
    return msgspec.json.decode(encode(answer), type=Earlier)


def since(was, now):
    (held,) = reckon(made(now), "note", kept(made(was))).findings
    return held.since


@pytest.mark.parametrize(
    ("fail_on", "counting"),
    [("stop", ["s@a/all"]), ("caution", ["s@a/all", "c@a/all"]), ("note", ["s@a/all", "c@a/all", "n@a/all"])],
)
def test_without_an_earlier_answer_all_at_or_above_the_weight_counts_but_what_is_accepted(fail_on, counting):
    findings = [Made("s@a/all", "stop"), Made("c@a/all"), Made("n@a/all", "note")]
    taken = Made("t@a/all", "stop", accepted=TAKEN)
    held = reckon(made(*findings, taken), fail_on).findings
    assert [one.finding.id for one in held if one.counts] == counting
    assert held[-1].since == "accepted"


@pytest.mark.parametrize(
    ("was", "now", "told"),
    [
        (Made(), Made(), "known"),
        (Made(), Made(says="Otherwise said.", why="Other reasons."), "known"),
        (Made(weighs="note"), Made(weighs="caution"), "worse"),
        (Made(weighs="stop"), Made(weighs="caution"), "known"),
        (Made(figure=figure(2.0)), Made(figure=figure(2.0)), "known"),
        (Made(figure=figure(2.0)), Made(figure=figure(2.09)), "known"),
        (Made(figure=figure(2.0)), Made(figure=figure(2.11)), "worse"),
        (Made(figure=figure(2.0)), Made(figure=figure(1.0)), "known"),
        (Made(figure=figure(2.0, "less")), Made(figure=figure(1.91, "less")), "known"),
        (Made(figure=figure(2.0, "less")), Made(figure=figure(1.89, "less")), "worse"),
        (Made(figure=figure(2.0, "less")), Made(figure=figure(3.0, "less")), "known"),
        (Made(figure=figure(-2.0, "less")), Made(figure=figure(-2.2, "less")), "worse"),
        (Made(figure=figure(0.0)), Made(figure=figure(0.001)), "worse"),
        (Made(figure=figure(2.0)), Made(figure=None), "worse"),
        (Made(figure=None), Made(figure=figure(2.0)), "worse"),
        (Made(figure=figure(2.0)), Made(figure=figure(2.0, name="share")), "worse"),
        (Made(weighs="stop", figure=figure(2.0)), Made(weighs="caution", figure=figure(3.0)), "worse"),
        (Made(accepted=TAKEN), Made(), "lapsed"),
        (Made(accepted=TAKEN), Made(accepted=TAKEN, figure=figure(9.0)), "accepted"),
        (Made(), Made(accepted=TAKEN), "accepted"),
        (Made("less-oil@gallery-lifter/intake"), Made("less-oil@gallery-lifter/exhaust"), "new"),
    ],
)
def test_what_a_finding_is_beside_the_earlier_one(was, now, told):
    assert since(was, now) == told


@pytest.mark.parametrize(("fail_on", "counts"), [("note", True), ("caution", True), ("stop", False)])
def test_what_has_grown_worse_counts_from_the_weight_it_has_now(fail_on, counts):
    (held,) = reckon(made(Made(weighs="caution")), fail_on, kept(made(Made(weighs="note")))).findings
    assert held.counts == counts


def test_what_cannot_be_told_counts_unless_it_could_not_be_told_before():
    now = made(untold=["a@x/all", "b@x/all"])
    assert reckon(now, "caution").untold == ["a@x/all", "b@x/all"]
    assert reckon(now, "caution", kept(made(untold=["b@x/all"]))).untold == ["a@x/all"]
    assert reckon(now, "caution", kept(now)).untold == []


def test_what_decided_a_verdict_before_is_no_rule_that_could_not_be_told():
    now, before = made(untold=["a@x/all"]), made(Made("a@x/all"))
    assert reckon(now, "caution", kept(before)).untold == ["a@x/all"]


FIGURES = st.none() | st.builds(
    figure, st.floats(-1e3, 1e3), st.sampled_from(["more", "less"]), st.sampled_from(["times", "share"])
)
FINDINGS = st.lists(
    st.builds(
        Made,
        st.sampled_from(["a@x/all", "b@x/all", "c@x/all"]),
        st.sampled_from(["note", "caution", "stop"]),
        FIGURES,
        st.none() | st.just(TAKEN),
    ),
    unique_by=lambda one: one.id,
    max_size=3,
)


@given(findings=FINDINGS)
def test_nothing_counts_beside_the_very_same_answer(findings):
    answer = made(*findings)
    assert not any(held.counts for held in reckon(answer, "note", kept(answer)).findings)


@given(was=FINDINGS, now=FINDINGS)
def test_whatever_counts_since_counts_without_an_earlier_answer(was, now):
    answer = made(*now)
    alone = {held.finding.id for held in reckon(answer, "caution").findings if held.counts}
    beside = {held.finding.id for held in reckon(answer, "caution", kept(made(*was))).findings if held.counts}
    assert beside <= alone
    assert alone - beside <= {one.id for one in was}
