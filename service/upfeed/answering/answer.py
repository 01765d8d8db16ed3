"""The answer as it goes out: lists, never open maps; every field present; null means unknown.

Closed words (they never change under one format number): verdict, weighs, state, standing.
"""

from typing import Literal

from msgspec import Struct

from upfeed.judging.rules import Weight
from upfeed.judging.verdict import Verdict
from upfeed.knowledge.records import Standing

FORMAT = 1


class Written(Struct, frozen=True, forbid_unknown_fields=True, tag_field="in", tag="file"):
    """Written in a file of a layer."""

    layer: str
    file: str
    line: int


class Given(Struct, frozen=True, forbid_unknown_fields=True, tag_field="in", tag="build"):
    """Given inside the build: a JSON pointer into it."""

    build: str


class Quantity(Struct, frozen=True, forbid_unknown_fields=True, rename={"origin": "from"}):
    """A value used: SI magnitude (or a choice's word), UCUM unit, as shown, and where it comes from.

    `worked_out` says how it follows from other values of the part, where it does.
    """

    name: str
    value: float | str | None
    unit: str | None
    shown: str
    standing: Standing | None
    source: str | None
    origin: Written | Given | None
    worked_out: str | None


class Compared(Struct, frozen=True, forbid_unknown_fields=True):
    """A computed number of the build beside the reference build's.

    `band` bounds it: nine of ten draws of the values lie within, where they were drawn, else all corner cases of
    what is unknown; `ratio_band` bounds nine of ten ratios.
    """

    build: float | str | None
    reference: float | str | None
    ratio: float | None
    band: tuple[float, float] | None
    ratio_band: tuple[float, float] | None


class Computed(Struct, frozen=True, forbid_unknown_fields=True):
    """A computed fact, by its path name, SI with UCUM unit; `point` is null for what holds at every point.

    Bounds as in Compared.
    """

    name: str
    point: str | None
    unit: str | None
    build: float | str | None
    reference: float | str | None
    ratio: float | None
    band: tuple[float, float] | None
    ratio_band: tuple[float, float] | None


class Place(Struct, frozen=True, forbid_unknown_fields=True):
    """The stretch of the oil's path a finding is about, and at which valves."""

    id: str
    walk: list[str]
    at: str


class Against(Struct, frozen=True, forbid_unknown_fields=True):
    """What the designer meant, where a finding goes against it."""

    intent: str
    says: str


class Change(Struct, frozen=True, forbid_unknown_fields=True):
    """One thing done differently."""

    name: str
    old: str
    new: str


class Mend(Struct, frozen=True, forbid_unknown_fields=True):
    """A way out with its computed effect: what is done, what is changed, the findings it clears and raises by id.

    `settles` are rules that could not be told before and can be with it. `verdict` and `computed` are those of the
    build with it; `computed` tells hot idle.
    """

    do: str
    changes: list[Change]
    clears: list[str]
    raises: list[str]
    settles: list[str]
    verdict: Verdict
    computed: list[Computed]


class Accepted(Struct, frozen=True, forbid_unknown_fields=True):
    """Who takes a finding on, why, until when, and up to which figure."""

    reason: str
    by: str
    until: str
    at: str | None


class Lapsed(Struct, frozen=True, forbid_unknown_fields=True):
    """Who took a finding on, why and until when, and by what that no longer holds."""

    reason: str
    by: str
    until: str
    lapsed_by: str


class Figure(Struct, frozen=True, forbid_unknown_fields=True):
    """The number by which a finding is better or worse, SI with UCUM unit; `worse_with` tells which way."""

    name: str
    value: float
    unit: str | None
    shown: str
    worse_with: Literal["more", "less"]


class Finding(Struct, frozen=True, forbid_unknown_fields=True):
    """One rule that fired at one place; `holds_in` is the share of the draws in which it still fires."""

    id: str
    rule: str
    weighs: Weight
    place: Place
    says: str
    why: str
    values: list[Quantity]
    computed: list[Computed]
    explains: list[str]
    against: list[Against]
    mends: list[Mend]
    figure: Figure | None
    accepted: Accepted | None
    lapsed: Lapsed | None
    sources: list[str]
    holds_in: float | None


class Unknown(Struct, frozen=True, forbid_unknown_fields=True):
    """What nobody has measured yet: the rules that wait for it and how to measure it."""

    name: str
    slot: str
    at: str
    blocks: list[str]
    measure: str


class SolvedPoint(Struct, frozen=True, forbid_unknown_fields=True, tag_field="state", tag="solved"):
    """An operating point with its pressures and flows."""

    point: str
    speed_rpm: float
    oil_temperature_c: float
    computed: list[Computed]


class UnknownPoint(Struct, frozen=True, forbid_unknown_fields=True, tag_field="state", tag="unknown"):
    """An operating point that can't be computed yet."""

    point: str
    reason: str


class FailedPoint(Struct, frozen=True, forbid_unknown_fields=True, tag_field="state", tag="failed"):
    """An operating point whose solution did not converge: no number is given."""

    point: str
    reason: str


class Rung(Struct, frozen=True, forbid_unknown_fields=True):
    """One step of the pressure ladder: pressure ahead of a passage [Pa], its share of the path's drop, and its pull.

    `flow_per_diameter`, d ln Q / d ln d: by how many per cent the top-end flow grows if the passage's diameter grows by
    one, at these valves; null where it has no diameter, where no oil flows, and where anything is unknown.
    """

    place: str
    at: str
    point: str
    pressure: Compared
    share_of_drop: Compared
    flow_per_diameter: Compared


class VerdictShare(Struct, frozen=True, forbid_unknown_fields=True):
    """In which share of the draws a verdict comes out."""

    verdict: Verdict
    share: float


class NearMiss(Struct, frozen=True, forbid_unknown_fields=True):
    """A stop or caution that is quiet as the values are given and fires in more than a twentieth of the draws."""

    rule: str
    weighs: Weight
    at: str
    fires_in: float


class HangsOn(Struct, frozen=True, forbid_unknown_fields=True):
    """The comparison on which a rule flips, or (rule null) the computed number that people ask for first."""

    rule: str | None
    line: str


class HowSure(Struct, frozen=True, forbid_unknown_fields=True):
    """What becomes of the verdict when every value is drawn anew within its stated tolerance or its standing's spread.

    No samples: nothing was drawn, because none were asked for, or something is missing or left open.
    """

    samples: int
    verdict_holds_in: float | None
    verdicts: list[VerdictShare]
    near_misses: list[NearMiss]
    hangs_on: HangsOn | None


class MeasureFirst(Struct, frozen=True, forbid_unknown_fields=True):
    """A value worth measuring: the share it has in the spread of what the verdict hangs on, and how to measure it.

    `decides`: the verdict changes within the spread, this value has much to do with it, and nobody has measured it.
    """

    name: str
    slot: str
    at: str
    shown: str
    standing: Standing
    share: float
    decides: bool
    measure: str


class PrimingStop(Struct, frozen=True, forbid_unknown_fields=True):
    """A crank position for priming with the engine parked: where oil has to show while the pump is turned by hand.

    `crank_deg` after the firing of cylinder 1, `turn_deg` on from the stop before; `at`, the valves to look at.
    """

    crank_deg: float
    turn_deg: float
    at: str


class SlotFilled(Struct, frozen=True, forbid_unknown_fields=True):
    """What stands in a slot; `chosen` by the build, or filled in from the reference.

    `worked_out` are those of its values that follow from others, as a metering's size from a bench flow.
    """

    slot: str
    at: str
    part: str | None
    chosen: bool
    worked_out: list[Quantity]


class BuildEcho(Struct, frozen=True, forbid_unknown_fields=True):
    """The build as understood."""

    name: str
    family: str
    slots: list[SlotFilled]
    settings: list[Quantity]


class Digests(Struct, frozen=True, forbid_unknown_fields=True):
    """What the answer came from: the same four always give the same bytes."""

    program: str
    knowledge: str
    rules: str
    build: str


class Answer(Struct, frozen=True, forbid_unknown_fields=True):
    """The whole answer to one check."""

    format: int
    verdict: Verdict
    decided_by: list[str]
    as_of: str | None
    digests: Digests
    build: BuildEcho
    findings: list[Finding]
    unknown: list[Unknown]
    points: list[SolvedPoint | UnknownPoint | FailedPoint]
    path: list[Rung]
    timing: list[Computed]
    preload: list[Computed]
    priming: list[PrimingStop]
    how_sure: HowSure
    measure_first: list[MeasureFirst]
    cautions: list[str]
