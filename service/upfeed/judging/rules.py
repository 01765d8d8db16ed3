"""What is judged: rules, their limits, and the cases that show what each rule says."""

from collections.abc import Callable
from typing import Literal

from msgspec import Struct

from upfeed.judging.condition import Condition
from upfeed.judging.language import Calculation
from upfeed.judging.lexicon import Name
from upfeed.judging.message import Message
from upfeed.judging.terms import Reading, Readings
from upfeed.judging.truth import Truth
from upfeed.knowledge.records import Override
from upfeed.reading.faults import Origin

Weight = Literal["stop", "caution", "note"]
"""How much a finding weighs, heaviest first."""

WEIGHTS: tuple[Weight, ...] = ("stop", "caution", "note")

Outcome = Literal["fires", "quiet", "unknown"]

OUTCOMES: tuple[Outcome, ...] = ("fires", "quiet", "unknown")


Walk = tuple[str, ...]
"""A stretch of the oil's path, as slots and `gallery`."""


class Limit(Struct, frozen=True):
    """A threshold in SI that a shop may set otherwise: what it means and where it comes from."""

    name: str
    value: float
    shown: Name
    means: str
    source: str
    origin: Origin


class Let(Struct, frozen=True):
    """A calculation that a rule's lines and sentence use by name."""

    name: str
    calculation: Calculation
    shown: Name


class Worst(Struct, frozen=True):
    """Which of several places under one finding its figures are for: with the `most` of a calculation, or the least."""

    let: Let
    most: bool


class Mend(Struct, frozen=True):
    """Something that may be done about a finding; `tries` is the kind of part or setting to try, if any."""

    do: str
    tries: str | None


class Case(Struct, frozen=True):
    """Facts that a rule is shown by (a name left out is unknown), and what it then says."""

    case: str
    expect: Outcome
    facts: dict[str, Reading]
    says: str | None
    blocked_by: tuple[str, ...]
    origin: Origin


class BuildCase(Struct, frozen=True):
    """A build that a rule is shown by."""

    build: str
    expect: Outcome
    origin: Origin


class Rule(Struct, frozen=True):
    """One fault to look for, along the first of its `walks` that a family has.

    `reads` are the names a place must provide: all but limits and calculations. `test` gives the truth of `when` for a
    single case, from what it reads alone and without reasons. Places of like parts are told as one;
    their figures may differ, and those of the `worst` count. `known_limits` says what the rule does not see. One
    `of_draws` is asked only after draws of what values may be, and never counts in a verdict.
    """

    id: str
    area: str
    walks: tuple[Walk, ...]
    weighs: Weight
    explains: tuple[str, ...]
    about: tuple[str, ...]
    why: str
    lets: tuple[Let, ...]
    limits: dict[str, Limit]
    when: Condition
    test: Callable[[Readings], Truth]
    says: Message
    mend: tuple[Mend, ...]
    known_limits: str
    sources: tuple[str, ...]
    reads: frozenset[str]
    cases: tuple[Case, ...]
    builds: tuple[BuildCase, ...]
    origin: Origin
    worst: Worst | None = None
    of_draws: bool = False


class Rulebook(Struct, frozen=True):
    """Every rule by id, in order of id, the digest of the bytes they were read from, what later layers replaced."""

    rules: dict[str, Rule]
    digest: str
    overrides: tuple[Override, ...] = ()
