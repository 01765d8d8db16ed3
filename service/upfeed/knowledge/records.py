"""What is known: parts, families, sources, and the builds asked about."""

from collections.abc import Mapping
from functools import cached_property
from typing import Literal

from msgspec import Struct

from upfeed.reading.faults import Origin

Standing = Literal["measured", "published", "typical", "assumed"]
"""How a value came to be known, best first."""

STANDINGS: tuple[Standing, ...] = ("measured", "published", "typical", "assumed")

Valve = tuple[int, str]
"""One valve of an engine: its cylinder's number and its name in the plan, as intake or second intake."""


Table = tuple[tuple[float, float], ...]
"""Readings in pairs, SI."""

Magnitude = float | str | Table
"""What a value is: a number in SI, the word of a choice, or a table."""


class Value(Struct, frozen=True, array_like=True):
    """One known value: SI magnitude, a choice or a table, how it came to be known and where it is written.

    What is worked out from others of the same part `follows_from` the first of these, and stands where that is written.
    """

    magnitude: Magnitude
    written: str
    standing: Standing
    source: str
    origin: Origin
    plus_minus: float | None = None
    note: str = ""
    follows_from: str = ""


class Intent(Struct, frozen=True, array_like=True):
    """Why a designer made something so."""

    about: tuple[str, ...]
    says: str
    by: str


class Part(Struct, frozen=True, array_like=True):
    """A part of any kind. `unknown` are attributes written down as not known."""

    id: str
    kind: str
    name: str
    maker: str
    numbers: tuple[str, ...]
    has: dict[str, Value]
    relations: dict[str, tuple[str, ...]]
    intents: tuple[Intent, ...]
    origin: Origin
    unknown: tuple[str, ...] = ()


class Slot(Struct, frozen=True):
    """A place of an engine that takes a part: one an engine, or one a valve."""

    name: str
    kind: str
    each: Literal["engine", "valve"]


class Stations(Struct, frozen=True):
    """Valves in a row along a gallery, from the end it is fed at: the ports that meet from each to the next.

    `enters` meet at the first of each row, `onward` from one to the next, `leaves` at the last; none where the
    gallery ends there.
    """

    rows: tuple[tuple[Valve, ...], ...]
    enters: tuple[str, str]
    onward: tuple[str, str]
    leaves: tuple[str, str] | None


class Plan(Struct, frozen=True, dict=True):
    """How a family leads oil: its valves, its slots, which ports meet, and what stands along its galleries.

    `roles` are the names of each cylinder's valves; `lobes` names the lobe of those not moved by one of their own name.
    `fires_at` is each cylinder's crank angle, rad, after the firing of cylinder 1; empty where nobody says.
    """

    cylinders: int
    roles: tuple[str, ...]
    slots: dict[str, Slot]
    joins: tuple[tuple[str, str], ...]
    lobes: dict[str, str] = {}
    stations: Stations | None = None
    fires_at: tuple[float, ...] = ()

    @cached_property
    def valves(self) -> tuple[Valve, ...]:
        """Every valve, cylinder by cylinder."""
        return tuple((c, role) for c in range(1, self.cylinders + 1) for role in self.roles)

    def lobe_of(self, role: str) -> str:
        """The camshaft's lobe that moves a cylinder's valve of this name."""
        return self.lobes.get(role, role)

    def last_fed(self, valves: tuple[int, ...]) -> int:
        """Of valves with equal parts the one that oil gets to last; the first where all hang on one place."""
        if self.stations is None:
            return valves[0]
        rows = self.stations.rows
        at = {valve: place for row in rows for place, valve in enumerate(row)}
        return max(valves, key=lambda i: (at.get(self.valves[i], 0), -i))


class Fitting(Struct, frozen=True):
    """What a build puts into a slot at a position: a known part, values of its own, or both.

    `unknown` are values of the part that are said not to be known of this one.
    """

    at: str
    part: str | None
    name: str
    has: dict[str, Value]
    fill_from: str | None
    origin: Origin
    unknown: tuple[str, ...] = ()


class Acceptance(Struct, frozen=True):
    """A finding somebody has looked at and takes on, until a day and, where `at` says so, up to a figure."""

    finding: str
    reason: str
    by: str
    until: str
    at: str | None = None
    origin: Origin = Origin()


class BuildSheet(Struct, frozen=True):
    """A build as written, before unnamed slots are filled from the family's reference.

    `unknown` holds values that are said not to be known, under `settings` or the name of a point.
    """

    id: str
    name: str
    family: str
    as_of: str | None
    slots: dict[str, tuple[Fitting, ...]]
    settings: dict[str, Value]
    points: dict[str, dict[str, Value]]
    open: tuple[str, ...]
    accepts: tuple[Acceptance, ...]
    origin: Origin
    unknown: dict[str, tuple[str, ...]] = {}


class Family(Struct, frozen=True):
    """An engine family: plan, reference build, operating points and intents."""

    id: str
    name: str
    maker: str
    plan: Plan
    reference: BuildSheet
    points: dict[str, dict[str, Value]]
    intents: tuple[Intent, ...]
    origin: Origin


class SourceNote(Struct, frozen=True):
    """Where values come from."""

    id: str
    title: str
    kind: str


class Change(Struct, frozen=True, array_like=True):
    """A value as it was and as it is now written; None where it is not given."""

    name: str
    was: str | None
    now: str | None


class Override(Struct, frozen=True, array_like=True):
    """Something of a layer below that a layer above replaces, whole."""

    what: str
    id: str
    was: Origin
    now: Origin
    changes: tuple[Change, ...] = ()


class Knowledge(Struct, frozen=True):
    """Everything known, by id, and the digest of the bytes it was read from."""

    parts: Mapping[str, Part]
    families: dict[str, Family]
    sources: dict[str, SourceNote]
    digest: str
