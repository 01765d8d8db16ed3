"""Rules as the catalogue shows them: what each looks for, when it fires, what it says."""

from typing import Literal

from msgspec import Struct

from upfeed.answering.answer import Written
from upfeed.judging.condition import Condition, Group
from upfeed.judging.lexicon import Lexicon, Name
from upfeed.judging.message import Message
from upfeed.judging.rules import Case, Outcome, Rulebook, Weight
from upfeed.judging.rules import Limit as LimitRecord
from upfeed.judging.rules import Rule as Record
from upfeed.reading.units import QUANTITIES, show
from upfeed.web.known import written


class RuleBrief(Struct, frozen=True, forbid_unknown_fields=True):
    """A rule in a list."""

    id: str
    area: str
    weighs: Weight
    why: str


class Rules(Struct, frozen=True, forbid_unknown_fields=True):
    """Every rule in order of id."""

    rules: list[RuleBrief]


class Limit(Struct, frozen=True, forbid_unknown_fields=True, rename={"origin": "from"}):
    """A threshold in SI: what it means and where it comes from."""

    name: str
    value: float
    unit: str
    shown: str
    means: str
    source: str
    origin: Written


class Calculation(Struct, frozen=True, forbid_unknown_fields=True, rename={"text": "is"}):
    """A number that a rule works out, by the name it then has."""

    name: str
    text: str


class Comparison(Struct, frozen=True, forbid_unknown_fields=True, tag_field="form", tag="line"):
    """One comparison."""

    line: str


class Combination(Struct, frozen=True, forbid_unknown_fields=True, tag_field="form", tag="group"):
    """Conditions of which all, any or none must hold."""

    by: Literal["all", "any", "none"]
    parts: list["Comparison | Combination"]


class Suggestion(Struct, frozen=True, forbid_unknown_fields=True):
    """What may be done about a finding; `tries` is the kind of part or the setting to try."""

    do: str
    tries: str | None


class CaseFact(Struct, frozen=True, forbid_unknown_fields=True):
    """What a name stands for in a case, SI with UCUM unit, or a word; null: not known."""

    name: str
    value: float | str | None
    unit: str | None


class RuleCase(Struct, frozen=True, forbid_unknown_fields=True):
    """Facts that a rule is shown by (names left out are not known), and what becomes of it.

    `says` is its whole sentence where it fires; `blocked_by` what it waits for where it can't tell.
    """

    case: str
    expect: Outcome
    facts: list[CaseFact]
    says: str | None
    blocked_by: list[str]


class RuleBuild(Struct, frozen=True, forbid_unknown_fields=True):
    """An example build that a rule is shown by, and what becomes of it there."""

    build: str
    expect: Outcome


class Rule(Struct, frozen=True, forbid_unknown_fields=True, rename={"origin": "from"}):
    """A fault to look for; `known_limits` tells what it does not see.

    `says` has names in braces where a finding has values.
    """

    id: str
    area: str
    weighs: Weight
    walks: list[list[str]]
    explains: list[str]
    about: list[str]
    why: str
    limits: list[Limit]
    calculations: list[Calculation]
    when: Comparison | Combination
    says: str
    mends: list[Suggestion]
    known_limits: str
    sources: list[str]
    cases: list[RuleCase]
    builds: list[RuleBuild]
    origin: Written


def rules(rulebook: Rulebook) -> Rules:
    """All rules."""
    known = sorted(rulebook.rules.values(), key=lambda rule: rule.id)
    return Rules([RuleBrief(rule.id, rule.area, rule.weighs, rule.why) for rule in known])


def rule(record: Record, names: Lexicon) -> Rule:
    """A rule with its limits, its condition and its cases; `names` are those a rule may read."""
    return Rule(
        id=record.id,
        area=record.area,
        weighs=record.weighs,
        walks=[list(walk) for walk in record.walks],
        explains=list(record.explains),
        about=list(record.about),
        why=record.why,
        limits=[_limit(limit) for limit in record.limits.values()],
        calculations=[Calculation(let.name, let.calculation.text) for let in record.lets],
        when=_when(record.when),
        says=_sentence(record.says),
        mends=[Suggestion(mend.do, mend.tries) for mend in record.mend],
        known_limits=record.known_limits,
        sources=list(record.sources),
        cases=[_case(case, names) for case in record.cases],
        builds=[RuleBuild(build.build, build.expect) for build in record.builds],
        origin=written(record.origin),
    )


def _case(case: Case, names: Lexicon) -> RuleCase:
    facts = [CaseFact(name, reading, _unit(names[name])) for name, reading in case.facts.items()]
    return RuleCase(case.case, case.expect, facts, case.says, list(case.blocked_by))


def _unit(name: Name) -> str | None:
    return QUANTITIES[name.quantity].ucum if name.quantity else None


def _limit(limit: LimitRecord) -> Limit:
    quantity = limit.shown.quantity or "ratio"
    return Limit(
        name=limit.name,
        value=limit.value,
        unit=QUANTITIES[quantity].ucum,
        shown=show(limit.value, quantity, limit.shown.shown_in),
        means=limit.means,
        source=limit.source,
        origin=written(limit.origin),
    )


def _when(condition: Condition) -> Comparison | Combination:
    if isinstance(condition, Group):
        return Combination(condition.by, [_when(part) for part in condition.parts])
    return Comparison(condition.text)


def _sentence(message: Message) -> str:
    return "".join(piece if isinstance(piece, str) else f"{{{piece.name}}}" for piece in message.pieces)
