"""What of an answer counts since an earlier one: findings that are new, have grown worse, or are accepted no more."""

from typing import Literal

from msgspec import Struct

from upfeed.advising.comparing.earlier import NOTHING, Earlier, EarlierFigure, EarlierFinding
from upfeed.answering.acceptance import has_grown
from upfeed.answering.answer import Answer, Figure, Finding
from upfeed.judging.rules import WEIGHTS, Weight

Since = Literal["new", "worse", "lapsed", "known", "accepted"]
"""What a finding is beside an earlier answer; the first three count."""

_COUNTING = ("new", "worse", "lapsed")


class Held(Struct, frozen=True):
    """A finding beside the same one earlier, and whether it counts at the weight that was asked."""

    finding: Finding
    since: Since
    was: EarlierFinding | None
    counts: bool


class Reckoned(Struct, frozen=True):
    """All findings of an answer beside an earlier one, and by their ids the rules that can't be told and count."""

    findings: list[Held]
    untold: list[str]


def reckon(answer: Answer, weight: Weight, earlier: Earlier = NOTHING) -> Reckoned:
    """Sort out what counts of an answer: what weighs `weight` or more and did not stand before as it stands now.

    What can't be told counts unless it could not be told before.
    """
    before = {finding.id: finding for finding in earlier.findings}
    asked = WEIGHTS[: WEIGHTS.index(weight) + 1]
    return Reckoned(
        [_held(finding, before.get(finding.id), finding.weighs in asked) for finding in answer.findings],
        [id_ for id_ in _untold(answer) if id_ not in _untold(earlier)],
    )


def _untold(answer: Answer | Earlier) -> list[str]:
    return answer.decided_by if answer.verdict == "cannot_tell_yet" else []


def _held(finding: Finding, was: EarlierFinding | None, weighs_enough: bool) -> Held:
    since = _since(finding, was)
    return Held(finding, since, was, weighs_enough and since in _COUNTING)


def _since(finding: Finding, was: EarlierFinding | None) -> Since:
    if finding.accepted is not None:
        return "accepted"
    if was is None:
        return "new"
    if was.accepted is not None:
        return "lapsed"
    heavier = WEIGHTS.index(finding.weighs) < WEIGHTS.index(was.weighs)
    return "worse" if heavier or _is_worse(was.figure, finding.figure) else "known"


def _is_worse(was: EarlierFigure | None, now: Figure | None) -> bool:
    """A figure that can't be held against the earlier one is not taken for as good."""
    if was is None or now is None:
        return not (was is None and now is None)
    return (was.name, was.worse_with) != (now.name, now.worse_with) or has_grown(was.value, now)
