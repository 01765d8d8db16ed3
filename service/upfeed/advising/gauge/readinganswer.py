"""What gauge readings tell, as it goes out: lists, every field present, null where nobody knows; SI."""

from typing import Literal

from msgspec import Struct

from upfeed.answering.answer import Digests, Unknown
from upfeed.knowledge.records import Standing

FORMAT = 1

Outcome = Literal[
    "agrees",
    "explained",
    "cannot_tell",
    "two_at_once",
    "more_than_two",
    "contradictory",
    "impossible",
    "unknown",
]
"""Closed under one format number.

`agrees`: every reading is what is expected, within the gauge's error. `explained`: one value alone, or one of some
that move the gauge alike, explains the readings, and nothing else does. `cannot_tell`: several do, or nearly; so they
do where all was read at one place and point. `two_at_once`: no value alone, but two together. `more_than_two`: not
even two. `contradictory`: nothing found within all that its values can be gives all the readings. `impossible`: one
of them by itself is beyond what the build could show. `unknown`: something is missing without which nothing can be
expected.
"""


class GaugeTold(Struct, frozen=True, forbid_unknown_fields=True):
    """How good the gauge is taken to be.

    By its accuracy `class` of EN 837-1, in per cent of its full scale, Pa, which is assumed; or as somebody has
    `written`.
    """

    by: Literal["class", "written"]
    accuracy_class: float | None
    full_scale: float | None
    written: str | None


class ReadingTold(Struct, frozen=True, forbid_unknown_fields=True):
    """A reading beside what is expected there, all pressures in Pa.

    `may_be_off` is the gauge's error, and where air may be trapped behind a timed passage, how far the expected
    pressure goes either way with it. `least` and `most` are what the gauge could show with every value as far off as
    it can be; `filter_drop` is what is expected between pump and main gallery.
    """

    written: str
    port: str
    speed_rpm: float
    oil_temperature_c: float
    read: float
    expected: float | None
    may_be_off: float
    least: float | None
    most: float | None
    filter_drop: float | None


class Cause(Struct, frozen=True, forbid_unknown_fields=True):
    """A value that would have to be off: as given, what it would have to be, and how it is measured.

    `would_be` is SI in `unit`, UCUM; of a value of the points it is how much more it would be than it was read.
    `spreads` is how far off that is, in units of how far off it may be. `stands_for` are values that move the gauge
    alike and stretch further.
    """

    name: str
    slot: str
    at: str
    given: str
    standing: Standing
    source: str | None
    would_be: float
    unit: str | None
    shown: str
    spreads: float
    measure: str
    stands_for: list[str]


class Explanation(Struct, frozen=True, forbid_unknown_fields=True):
    """One value, or two at once, that explain the readings; `alike` are others, each alone, that do so as well.

    `stretch` is how far off the one is, in spreads, that is off farthest; `left_over`, Pa, what remains of each
    reading.
    """

    causes: list[Cause]
    alike: list[Cause]
    stretch: float
    left_over: list[float]


class ReadingsAnswer(Struct, frozen=True, forbid_unknown_fields=True):
    """What the readings tell of the build, the explanation first that stretches least.

    `too_alike` are values, not among the explanations, that would give next to the same readings as the first.
    """

    format: int
    outcome: Outcome
    digests: Digests
    build: str
    family: str
    gauge: GaugeTold
    readings: list[ReadingTold]
    explanations: list[Explanation]
    too_alike: list[str]
    unknown: list[Unknown]
    cautions: list[str]
