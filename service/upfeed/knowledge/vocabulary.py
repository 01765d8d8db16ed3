"""The words knowledge is written in: kinds of parts, their attributes, ports and passages, and computed facts."""

from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from upfeed.knowledge.spreads import Spread


class Column(Struct, frozen=True):
    """One column of a table: what it holds, in SI, and what is possible."""

    name: str
    quantity: str
    shown_in: str
    possible: tuple[float, float]


class Attribute(Struct, frozen=True):
    """What can be known of a part: a quantity in SI, one of a few choices, or a table of two columns.

    One that a check can do without may count for something under some choices only (`counts_where`).
    """

    name: str
    quantity: str | None
    choices: dict[str, str] | None
    shown_in: str
    definition: str
    how: str
    tool: str
    possible: tuple[float, float] | None
    usual: tuple[float, float] | None
    needed: bool | dict[str, tuple[str, ...]]
    table: tuple[Column, Column] | None = None
    counts_where: dict[str, tuple[str, ...]] = {}

    @property
    def quantities(self) -> tuple[str, ...]:
        """What it is measured in: its own quantity, or those of its table; none for a choice."""
        if self.table is not None:
            return tuple(column.quantity for column in self.table)
        return (self.quantity,) if self.quantity else ()

    def is_needed(self, chosen: Mapping[str, object]) -> bool:
        """Whether a check needs it, given the choices made so far (an unknown choice needs it).

        `chosen` holds the part's own choices by name, and those of the settings as `settings.name`.
        """
        if isinstance(self.needed, bool):
            return self.needed
        return all(chosen.get(by) is None or chosen[by] in words for by, words in self.needed.items())

    def is_surely_needed(self, chosen: Mapping[str, object]) -> bool:
        """The same, where an unknown choice may as well make it needless."""
        if isinstance(self.needed, bool):
            return self.needed
        return all(chosen.get(by) in words for by, words in self.needed.items())

    def counts(self, chosen: Mapping[str, object]) -> bool:
        """Whether it counts for anything, given the choices made so far (an unknown choice lets it count)."""
        return all(chosen.get(by) is None or chosen[by] in words for by, words in self.counts_where.items())


class Binding(Struct, frozen=True):
    """The law a passage obeys, and which attribute feeds each of its arguments."""

    law: str
    takes: dict[str, str | float]


class Passage(Struct, frozen=True):
    """An oil way inside a part, between two ports or a port and an open space.

    Which of its `laws` is in force goes by the choices of the attributes `by`, own or as kind.attribute: `flat two` by
    foot and bands, or `flat` alone, whatever the bands. `fills` is the attribute that says how much oil the space
    behind it takes when it stands empty; `draws` is what a turning journal draws through it beside what pressure
    drives; `bypass` opens beside it when the pressure over it is high; `opens_at` is the crank angle, counted from the
    firing of cylinder 1, at which a timed one begins to open.
    """

    name: str
    between: tuple[str, str]
    by: tuple[str, ...]
    laws: dict[str, Binding]
    count: str | None
    fills: str | None = None
    draws: dict[str, str | float] | None = None
    bypass: dict[str, str] | None = None
    opens_at: str | None = None

    def chosen(self, known: Mapping[str, object]) -> str:
        """What a part by itself has chosen of what the law goes by, in one; "" where any of it is missing."""
        words = [known.get(name) for name in self.by]
        return "" if None in words else " ".join(map(str, words))

    def binding(self, chosen: str) -> Binding:
        """The law in force for what is chosen of all that it goes by, in one."""
        return next(law for words, law in self.laws.items() if goes_for(words, chosen))


def goes_for(words: str, chosen: str) -> bool:
    """Whether a law named by these words is in force for what is chosen: by all of it, or by how it begins."""
    return words in ("", chosen) or chosen.startswith(f"{words} ")


class Source(Struct, frozen=True):
    """The port a pump delivers into, the attributes that say how much, and what it fills on the way there."""

    into: str
    takes: dict[str, str]
    fills: str | None = None


class Centre(Struct, frozen=True):
    """Where a lobe's middle lies: crank angle after (or before) the top dead centre that ends the exhaust stroke."""

    angle: str
    after: bool


class Member(Struct, frozen=True):
    """A height between cam and rocker, and how it counts in the preload.

    `adds` to the preload, or takes from it; through the rocker's `lever` or straight; only its growth (`grows_only`)
    or all of it; at all valves or those that one `lobe` moves. Without a material it does not grow.
    """

    length: str
    adds: bool
    lever: bool
    grows_only: bool
    lobe: str | None
    material: str | None
    warms_to: str | None


class Stack(Struct, frozen=True):
    """What preload is made of: where it comes from, the heights, and what they are compared with.

    `comes_from` names the choice between `set` (then `cold` is the preload) and `heights` (then it follows from them).
    `wanted` is the cold preload that pushrod lengths are told for.
    """

    comes_from: str
    cold: str
    wanted: str
    assembled_at: str
    ratio: str
    travel: str
    pushrod: str
    members: tuple[Member, ...]


class Lobe(Struct, frozen=True):
    """How a lobe is given: the attribute of each value of its cam card, and the one that holds its table."""

    card: dict[str, str]
    table: str


class Bench(Struct, frozen=True):
    """What a part's metering is worked out from: oil caught on a bench at a pressure, of an oil at a temperature.

    `fluid` are the arguments of `oil_at`; `rest` the passages that the oil goes through beside the one that meters;
    `tells` names, by the choice of law of `metering`, the size that follows; a larger one passes more. `held` are the
    laws on the bench where they are others than in the engine. Only under the choices in `where` does it tell anything.
    """

    flow: str
    pressure: str
    fluid: dict[str, str]
    rest: tuple[str, ...]
    metering: str
    tells: dict[str, str]
    held: dict[str, Binding]
    where: dict[str, tuple[str, ...]] = {}

    @property
    def readings(self) -> tuple[str, ...]:
        """The attributes that are read off the bench."""
        return (self.flow, self.pressure, *self.fluid.values())


class Instead(Struct, frozen=True):
    """A name that stands for one of several attributes, by the choice of the attribute `by`."""

    by: str
    of: dict[str, str]


class Kind(Struct, frozen=True):
    """A kind of part.

    `lobes_from` is the choice between `card` and `table` by which all its lobes are given; `kept_full` are the ports
    inside it that have to stay full of oil; `instead` are names that passages may take in place of an attribute.
    `fits_by` tells what decides whether a part of another family goes in: its `sizes`, which rules look at, or only
    that it was made for the `family`.
    """

    name: str
    definition: str
    ports: dict[str, str]
    attributes: dict[str, Attribute]
    passages: dict[str, Passage]
    source: Source | None = None
    fluid: dict[str, str] | None = None
    lobes: dict[str, Lobe] | None = None
    lobes_from: str | None = None
    base_circle: str | None = None
    read_at: dict[str, str] | None = None
    centres: dict[str, Centre] | None = None
    stack: Stack | None = None
    bench: Bench | None = None
    kept_full: tuple[str, ...] = ()
    instead: dict[str, Instead] | None = None
    fits_by: Literal["sizes", "family"] = "family"

    def stands_for(self, name: str) -> tuple[str, ...]:
        """The attributes that a name that a passage takes may stand for: mostly itself."""
        instead = (self.instead or {}).get(name)
        return tuple(dict.fromkeys(instead.of.values())) if instead else (name,)

    @property
    def volumes(self) -> frozenset[str]:
        """Attributes that say what a space takes when it stands empty; left out it counts as full."""
        filled = (*self.passages.values(), *((self.source,) if self.source else ()))
        return frozenset(of.fills for of in filled if of.fills)


class Fact(Struct, frozen=True):
    """A computed quantity, or one of a few words, that rules may read and answers carry.

    `takes` are the attributes it is worked out from that a check can do without, as kind.attribute. It is `told_by` the
    solved flow, by what is known of the parts alone, or by the draws of what values may be.
    """

    name: str
    quantity: str | None
    text: bool
    shown_in: str
    scope: str
    at: str
    compared: bool
    definition: str
    monotone: dict[str, str]
    choices: dict[str, str] | None = None
    takes: tuple[str, ...] = ()
    told_by: str = "flow"


class Vocabulary(Struct, frozen=True):
    """All kinds (with `points` and `settings` as kinds of their own), point names, facts and spreads.

    `spreads` tell how far values may be off, by `kind.attribute`; what has none is exact.
    """

    kinds: dict[str, Kind]
    points: dict[str, str]
    facts: dict[str, Fact]
    spreads: dict[str, Spread] = {}


AMBIENTS = ("crankcase", "rocker_cover")
"""Open spaces that oil leaves into."""

PHASE = "turn.phase"
"""Where the camshaft stands in its turn, 0-1, for passages of the whole engine."""

TURN_VALUES = ("turn.lift", "turn.foot", "turn.base_circle", "turn.seated", PHASE)
"""Values over one turn of the camshaft that a passage may take beside attributes."""
