"""Two builds side by side as it goes out: lists, never open maps; every field present; null means unknown.

Closed words (they never change under one format number): only_in, change, and those of an answer.
"""

from typing import Literal

from msgspec import Struct

from upfeed.answering.answer import Accepted, Digests, Figure, Finding, Quantity, Unknown
from upfeed.judging.rules import Weight
from upfeed.judging.verdict import Verdict

FORMAT = 1

Side = Literal["first", "second"]

Turned = Literal["worse", "lighter", "same", "mixed"]
"""What became of a finding; mixed: lighter by its figure but at further valves, or gone from some and new at others."""


class ComparedBuild(Struct, frozen=True, forbid_unknown_fields=True):
    """One of the two builds: its verdict, the findings that decide it, and what is not known of it.

    `verdict_holds_in` is the share of its own draws; null where none were made.
    """

    name: str
    family: str
    verdict: Verdict
    decided_by: list[str]
    digests: Digests
    samples: int
    verdict_holds_in: float | None
    unknown: list[Unknown]


class ValueDiffers(Struct, frozen=True, forbid_unknown_fields=True):
    """A value that is not the same in both, or is the same but otherwise known (standing or tolerance)."""

    name: str
    same_value: bool
    first: Quantity
    second: Quantity


class Standing(Struct, frozen=True, forbid_unknown_fields=True):
    """What stands in a slot at some valves; `part` null: given by values alone, or left open as `name` then says."""

    at: str
    part: str | None
    name: str
    chosen: bool


class SlotDiffers(Struct, frozen=True, forbid_unknown_fields=True):
    """A slot in which the builds differ; `only_in` one where the other has nothing to set beside it."""

    slot: str
    first: Standing | None
    second: Standing | None
    only_in: Side | None
    values: list[ValueDiffers]


class Kept(Struct, frozen=True, forbid_unknown_fields=True):
    """A finding of both builds. `change` null: its rule has no figure, and the valves are the same.

    `says` is what the second build's answer says; accepted as each build has it.
    """

    rule: str
    weighs: Weight
    change: Turned | None
    says: str
    first_id: str
    second_id: str
    first_at: str
    second_at: str
    first_figure: Figure | None
    second_figure: Figure | None
    first_accepted: Accepted | None
    second_accepted: Accepted | None


class Beside(Struct, frozen=True, forbid_unknown_fields=True):
    """A computed number of both builds, SI with UCUM unit. `times` is the second over the first.

    `times` is null for what is no amount (a preload, a state), where either is unknown and where the first is nothing.
    Bands as in an answer; `times_band` bounds nine of ten ratios, draw by draw, what both share being alike in a draw
    of either. Where a number or `times_band` is null `..._lacks` says why, else it is null.
    """

    name: str
    point: str | None
    unit: str | None
    first: float | str | None
    second: float | str | None
    times: float | None
    times_band: tuple[float, float] | None
    first_band: tuple[float, float] | None
    second_band: tuple[float, float] | None
    first_lacks: str | None
    second_lacks: str | None
    times_band_lacks: str | None


class Held(Struct, frozen=True, forbid_unknown_fields=True):
    """What an operating point holds fixed in one build; both null, and why, where it was not computed."""

    speed_rpm: float | None
    oil_temperature_c: float | None
    lacks: str | None


class PointBeside(Struct, frozen=True, forbid_unknown_fields=True):
    """An operating point of either build, and its numbers."""

    point: str
    first: Held
    second: Held
    computed: list[Beside]


class BuildComparison(Struct, frozen=True, forbid_unknown_fields=True):
    """Two builds of one family or of two: what differs, what becomes of the findings, and the numbers of both.

    `settings` and `points_held` are those that differ. Findings are each beside its own family's reference.
    """

    format: int
    same_family: bool
    first: ComparedBuild
    second: ComparedBuild
    slots: list[SlotDiffers]
    settings: list[ValueDiffers]
    points_held: list[ValueDiffers]
    gone: list[Finding]
    new: list[Finding]
    kept: list[Kept]
    points: list[PointBeside]
    timing: list[Beside]
    preload: list[Beside]
    cautions: list[str]
