"""The bench sheet as it goes out: what to measure, how to put together, prime and start a build, by its own numbers.

Lists, never open maps; every field present; a null number says why in `lacks`.
"""

from typing import Literal

from msgspec import Struct

from upfeed.advising.sheet.pinsteps import Pins
from upfeed.answering.answer import Digests, Quantity, Unknown
from upfeed.judging.verdict import Verdict

FORMAT = 1

Because = Literal["unknown", "spread", "path"]
"""Why something is to be measured: nobody has, the answer hangs on it, or the oil passes it."""


class Number(Struct, frozen=True, forbid_unknown_fields=True):
    """A number worked out, SI with UCUM unit and in words; `band` as in an answer; `lacks` says why there is none."""

    name: str
    value: float | None
    unit: str
    shown: str
    band: tuple[float, float] | None
    band_shown: str | None
    lacks: str | None


class Caught(Struct, frozen=True, forbid_unknown_fields=True):
    """Oil that a lifter lets by on the bench in 60 s, m3, for a size at either end of its tolerance.

    At a pressure over the air, Pa, of an oil at a temperature, K; `oil` says which.
    """

    seconds: float
    least: float
    most: float
    shown: str
    pressure: float
    temperature: float
    oil: str


class Task(Struct, frozen=True, forbid_unknown_fields=True):
    """Something to measure: with what, and what is expected give or take `plus_minus` (SI, null where not known).

    `share` is its part in how far the answer may be off, or of the pressure drop, as `because` says.
    """

    number: int
    name: str
    at: str
    because: Because
    share: float | None
    definition: str
    how: str
    tool: str
    expected: Quantity
    plus_minus: float | None
    plus_minus_shown: str | None
    pins: list[Pins]
    caught: Caught | None


class Sighted(Struct, frozen=True, forbid_unknown_fields=True):
    """Where a band's edges stand over the middle of the hole that feeds it, and the height that stands open."""

    lift: Number
    lower_edge: Number
    upper_edge: Number
    open_height: Number


class PrimedCup(Struct, frozen=True, forbid_unknown_fields=True):
    """What a cup under a rocker catches with the engine parked at a crank position, deg after cylinder 1's firing.

    `ticked` where the rocker is looked at there. One whose way is shut there gets nothing, beside what `creeps` along
    the land of a lifter's band that has left the gallery; null where the way stands open or that is not known.
    """

    crank_deg: float
    ticked: bool
    caught: Number
    creeps: Number | None


class ValveRow(Struct, frozen=True, forbid_unknown_fields=True):
    """One valve: the numbers of its tasks, the band through the gallery's hole, its preload, and what it lets by.

    `sighted` is at the base circle and at full lift; empty where there is no band. `caught` in `seconds` at the rocker,
    idling hot; `primed` in as many while the pump of the parked engine is turned, at every stop of priming.
    """

    valve: str
    tasks: list[int]
    sighted: list[Sighted]
    sighted_lacks: str | None
    cold_preload: Number
    turns: Number
    pushrod_fitted: Quantity | None
    pushrod_needed: Number
    holes_meet: Number
    seconds: float
    caught: Number
    primed: list[PrimedCup]


class Adjuster(Struct, frozen=True, forbid_unknown_fields=True):
    """How preload is set: `preload_from`, the rockers' mounts and screws as given, the thread's pitch, a turn's effect.

    What no rocker's file says is in neither list.
    """

    preload_from: str | None
    mounts: list[str]
    adjusting_screws: list[str]
    pitch: Number
    per_turn: Number
    ten_thou_of_pushrod: Number


class Drains(Struct, frozen=True, forbid_unknown_fields=True):
    """Drains that have to be clear: `count` in each of `of` places; a null `count` or `diameter` is not known."""

    where: str
    count: Number
    diameter: Number
    pins: list[Pins]


class Stop(Struct, frozen=True, forbid_unknown_fields=True):
    """A crank position for priming, deg after the firing of cylinder 1, deg on from the last; valves to tick.

    `gauge` is the pressure at the gallery while the pump is turned there.
    """

    crank_deg: float
    turn_deg: float
    valves: list[str]
    gauge: Number


class Priming(Struct, frozen=True, forbid_unknown_fields=True):
    """Priming with the engine parked. Cups and gauge are for a pump turned at `drill_speed`, oil at `oil_temperature`.

    `pump_speed` is that at which cranking turns the pump. `seconds` is how long oil then takes to the last rocker from
    empty ways, for the warmest oil that is told and the thickest in its band. No stops: `lacks` says why.
    """

    stops: list[Stop]
    lacks: str | None
    drill_speed: Number
    oil_temperature: Number
    pump_speed: Number
    seconds: Number
    never: list[str]


class GaugePoint(Struct, frozen=True, forbid_unknown_fields=True):
    """What a mechanical gauge at the gallery should read at an operating point; null speed: not computed."""

    point: str
    speed_rpm: float | None
    oil_temperature_c: float | None
    pressure: Number


class BenchSheet(Struct, frozen=True, forbid_unknown_fields=True):
    """Everything somebody at the bench needs for one build.

    `oil_path` are the passages in which holes have to line up, from the gallery on. `afterwards` is what to do after
    `afterwards_minutes`, `sign` what is filled in at the end.
    """

    format: int
    digests: Digests
    name: str
    family: str
    verdict: Verdict
    samples: int
    unknown: list[Unknown]
    tasks: list[Task]
    valves: list[ValveRow]
    adjuster: Adjuster
    drains: list[Drains]
    oil_path: list[str]
    priming: Priming
    gauge: list[GaugePoint]
    afterwards_minutes: int
    afterwards: list[str]
    cautions: list[str]
    sign: list[str]
