"""The trade's own table: what a builder says of a build, and exactly where the program says otherwise.

The rows were written before the program was asked. Where the two differ, a row's `disagrees` says on what, which of
rule, model or table is wrong (`awaited`: a rule that is still to be written), and why. Both lists are held exactly.
"""

from collections import Counter
from pathlib import Path
from typing import Any, Literal

import msgspec
import pytest
import yaml
from msgspec import Struct

from shipped import shipped_library
from upfeed.judging.verdict import Verdict
from upfeed.reading.faults import DataFaults

pytestmark = pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time

HERE = Path(__file__).parent
LIBRARY = shipped_library()


class Disagreement(Struct, frozen=True, forbid_unknown_fields=True):
    """One thing on which the program differs from the builder, and which of them has it wrong."""

    differs: str
    wrong: Literal["rule", "model", "table", "awaited"]
    because: str


class Row(Struct, frozen=True, forbid_unknown_fields=True):
    """A build, what a builder says of it, and the findings that this asks for; `may` is what may be remarked on.

    What only draws tell takes some `samples`.
    """

    row: str
    family: str
    builder: str
    fires: list[str]
    quiet: list[str] | Literal["all"]
    verdict: Verdict
    samples: int = 0
    slots: dict[str, Any] = {}
    settings: dict[str, Any] = {}
    points: dict[str, Any] = {}
    open: list[str] = []
    may: list[str] = []
    root: str | list[str] = []
    awaits: list[str] = []
    disagrees: list[Disagreement] = []

    @property
    def build(self):
        said = {"slots": self.slots, "settings": self.settings, "points": self.points, "open": self.open}
        return {"family": self.family} | {name: given for name, given in said.items() if given}

    @property
    def roots(self):
        return [self.root] if isinstance(self.root, str) else self.root


class Wordless(Struct, frozen=True, forbid_unknown_fields=True):
    """A defect that no build can state yet, the attribute it would need, and the rule that would read it."""

    row: str
    family: str
    builder: str
    word: str
    rule: str


def _rows(name, of):
    return msgspec.convert(yaml.safe_load((HERE / f"{name}.yaml").read_text(encoding="utf-8")), list[of])


FILES = sorted(path.stem for path in HERE.glob("*.yaml") if path.stem != "words")
ROWS = {name: _rows(name, Row) for name in FILES}
TABLE = [row for rows in ROWS.values() for row in rows]
WORDLESS = _rows("words", Wordless)
AWAITED = {rule for row in TABLE for rule in row.awaits}


def _traced(finding, findings):
    """The rules of all that a finding explains, at any remove."""
    by_id = {f.id: f for f in findings}
    found, ahead = set(), [finding.id]
    while ahead:
        reached = by_id[ahead.pop()]
        ahead += [id_ for id_ in reached.explains if by_id[id_].rule not in found]
        found |= {by_id[id_].rule for id_ in reached.explains}
    return found


def _on_roots(row, findings):
    """A root is nobody's consequence, and all that weighs beside the roots follows from one of them."""
    roots = [f for f in findings if f.rule in row.roots]
    explained = {id_ for f in findings for id_ in f.explains}
    yield from (f"{f.rule} is told as a consequence" for f in roots if f.id in explained)
    traced = {rule for root in roots for rule in _traced(root, findings)}
    weighing = {f.rule for f in findings if f.weighs != "note"} & {*row.fires} - {*row.roots}
    if roots:
        yield from (f"{rule} is not traced to its root" for rule in weighing - traced)


def _differences(row, answer):
    said = {f.rule for f in answer.findings}
    yield from (f"misses {rule}" for rule in {*row.fires} - said - {*row.awaits})
    unwanted = said - {*row.fires, *row.may} if row.quiet == "all" else said & {*row.quiet}
    yield from (f"says {rule}" for rule in unwanted)
    yield from _on_roots(row, answer.findings)
    if answer.verdict != row.verdict:
        yield f"verdict {answer.verdict}"


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row.row)
def test_the_program_says_what_the_builder_says_but_for_what_is_listed(row, ask):
    try:
        differences = sorted(set(_differences(row, ask(row.build, samples=row.samples))))
    except DataFaults as refused:
        differences = [f"refused: {fault.found}" for fault in refused.faults]
    assert differences == sorted(one.differs for one in row.disagrees)


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row.row)
def test_a_row_awaits_just_the_rules_that_are_still_to_be_written(row):
    rules = LIBRARY.rulebook.rules
    assert {*row.fires} - rules.keys() == {*row.awaits}
    assert {*row.roots} <= {*row.fires}
    named = {*row.may} | (set() if row.quiet == "all" else {*row.quiet})
    assert named <= rules.keys() | AWAITED
    assert not named & {*row.fires}
    assert row.awaits or not any(one.wrong == "awaited" for one in row.disagrees)


@pytest.mark.parametrize("row", WORDLESS, ids=lambda row: row.row)
def test_what_no_build_can_state_yet_has_no_word_yet(row):
    kind, attribute = row.word.split(".")
    assert row.family in LIBRARY.knowledge.families
    assert attribute not in LIBRARY.vocabulary.kinds[kind].attributes
    assert row.rule not in LIBRARY.rulebook.rules


def test_the_table_is_as_wide_as_it_claims():
    counted = Counter(row.row for row in [*TABLE, *WORDLESS])
    assert max(counted.values()) == 1
    assert len(TABLE) >= 64
    assert {row.family for row in ROWS["references"]} == {*LIBRARY.knowledge.families}
    assert len(ROWS["mixed"]) >= 14
    assert all(row.verdict == "go" and not row.fires for row in ROWS["references"] + ROWS["mixed"])
    assert sum(row.verdict == "cannot_tell_yet" for row in TABLE) >= 5
    assert all(row.builder.endswith(".") for row in [*TABLE, *WORDLESS])
