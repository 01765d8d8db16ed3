"""Puts rules to their own cases, and to the builds they are shown by."""

from collections.abc import Collection, Iterable, Iterator
from pathlib import Path

from msgspec import Struct

from upfeed.answering.buildfile import read_build
from upfeed.answering.check import check
from upfeed.answering.library import Library
from upfeed.judging.judge import Judged, judge
from upfeed.judging.rules import BuildCase, Case, Rule
from upfeed.judging.terms import Reading
from upfeed.reading.faults import Fault, quoted


class Shown(Struct, frozen=True):
    """A place where just the facts of a case are known."""

    facts: dict[str, Reading]
    id: str = "case"
    walk: tuple[str, ...] = ()
    at: str = "all"

    def read(self, name: str) -> tuple[Reading, ...]:
        """What the case says of a name; None where it says nothing."""
        return (self.facts.get(name),)


def put_to_cases(rules: Iterable[Rule]) -> Iterator[Fault]:
    """Every case that comes out otherwise than written: outcome, what it waits for, sentence."""
    for rule in rules:
        for case in rule.cases:
            yield from _disagreements(rule, case)


def _disagreements(rule: Rule, case: Case) -> Iterator[Fault]:
    judged = judge(rule, Shown(case.facts))
    path = f"rule {rule.id}, case {case.case}"
    if judged.outcome != case.expect:
        yield Fault(case.origin, path, f"that it {_told(judged)}", f"that it {_WORDS[case.expect]}")
    elif case.expect == "unknown" and sorted(judged.blocked_by) != sorted(case.blocked_by):
        yield Fault(
            case.origin, path, f"that it waits for {_list(judged.blocked_by)}", _list(case.blocked_by)
        )
    elif case.expect == "fires" and judged.says() != case.says:
        yield Fault(case.origin, path, quoted(judged.says(), _WHOLE), quoted(case.says or "", _WHOLE))


_WORDS = {"fires": "fires", "quiet": "stays quiet", "unknown": "can't tell"}
_WHOLE = 2_000
"""Characters of a sentence: nobody can compare what is cut short."""


def _told(judged: Judged) -> str:
    waits = f", waiting for {_list(judged.blocked_by)}" if judged.blocked_by else ""
    return f"{_WORDS[judged.outcome]}{waits}"


def _list(names: Collection[str]) -> str:
    return ", ".join(sorted(names)) or "nothing"


def put_to_builds(rules: Iterable[Rule], folder: Path, library: Library) -> Iterator[Fault]:
    """Every build of a folder to which a rule says otherwise than written; each build is checked once."""
    fired: dict[str, frozenset[str]] = {}
    for rule in rules:
        for shown in rule.builds:
            path = folder / f"{shown.build}.yaml"
            if shown.build not in fired:
                fired[shown.build] = _fired(path, library)
            yield from _said_otherwise(rule, shown, rule.id in fired[shown.build])


def _fired(path: Path, library: Library) -> frozenset[str]:
    answer = check(read_build(str(path), library), library)
    return frozenset(finding.rule for finding in answer.findings)


def _said_otherwise(rule: Rule, shown: BuildCase, fires: bool) -> Iterator[Fault]:
    if fires != (shown.expect == "fires"):
        found = "that it fires" if fires else "that it does not fire"
        yield Fault(
            shown.origin, f"rule {rule.id}, build {shown.build}", found, f"that it {_WORDS[shown.expect]}"
        )
