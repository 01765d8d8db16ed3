"""What may be tried for a build: what its rules suggest, and every known part that goes into one of its slots."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from upfeed.advising.choosing.changes import Change, OtherPart, OtherSetting, OtherSize
from upfeed.advising.choosing.sizes import between, first_look
from upfeed.answering.library import Library
from upfeed.flow.preload import BY_HEIGHTS
from upfeed.judging.rules import Mend
from upfeed.knowledge.build import Build
from upfeed.knowledge.placing import is_one_part, leading_to
from upfeed.knowledge.records import Value
from upfeed.knowledge.vocabulary import Attribute, Kind, Stack, Vocabulary

MADE_TO_LENGTH = "have pushrods made to length"

DESIGNED = "put back what the family was designed with"


class Candidate(Struct, frozen=True):
    """A change, in what words a rule asks for it, and what it tries: a slot, a setting or a size of a slot's part.

    `away` is how far it is from what the family was designed with: nothing for its part, one for another; of a size the
    difference as a share of what is usual.
    """

    do: str
    tries: str
    change: Change
    away: float

    @property
    def slot(self) -> str:
        """The slot it changes something in, or `settings`."""
        return self.change.name.partition(".")[0]

    @property
    def value(self) -> Value:
        """The size it tries. Raises TypeError for a part."""
        if isinstance(self.change, OtherPart):
            raise TypeError(f"{self.change.part} is no size")
        return self.change.value

    @property
    def magnitude(self) -> float:
        """The size it tries, SI. Raises TypeError for what is none."""
        magnitude = self.value.magnitude
        if not isinstance(magnitude, float | int):
            raise TypeError(f"{magnitude!r} is no size")
        return magnitude


class Sized(Struct, frozen=True):
    """A size that may be set or made: of a setting or of what stands in a slot, and what the build and its design have.

    `tries` is its full name.
    """

    do: str
    tries: str
    attribute: Attribute
    near: tuple[float, ...]

    def candidate(self, value: Value) -> Candidate:
        """It at a value."""
        slot, _, name = self.tries.rpartition(".")
        change = OtherSize(slot, name, value) if slot else OtherSetting(name, value)
        return Candidate(self.do, self.tries, change, self._away(value))

    def _away(self, value: Value) -> float:
        assert isinstance(value.magnitude, float)
        low, high = self.attribute.usual or self.attribute.possible or (0.0, 1.0)
        designed = self.near[0] if self.near else (low + high) / 2
        return abs(value.magnitude - designed) / (high - low)

    def first_look(self) -> tuple[Candidate, ...]:
        """It across what is usual and about what is there."""
        return tuple(self.candidate(value) for value in first_look(self.attribute, self.near))

    def closer(self, looked_at: Sequence[float], best: float) -> tuple[Candidate, ...]:
        """It between the best of those looked at and its neighbours."""
        return tuple(self.candidate(value) for value in between(self.attribute, looked_at, best, best))


def parts_for(build: Build, library: Library, suggested: Mapping[str, str]) -> Iterator[Candidate]:
    """Every known part for every slot, in the words of `suggested` by kind, but for what stands there already."""
    for slot in build.family.plan.slots.values():
        designed = {fitted.id for fitted in build.designed[slot.name] if fitted}
        there = {fitted.key for fitted in build.fitted[slot.name] if fitted}
        for part in goes_in(slot.kind, build.family.id, library):
            if there in ({f"{slot.name}: {part}, chosen"}, {f"{slot.name}: {part}, designed"}):
                continue
            usual = DESIGNED if designed == {part} else f"fit another {slot.name.replace('_', ' ')}"
            away = 0.0 if part in designed else 1.0
            yield Candidate(suggested.get(slot.kind, usual), slot.name, OtherPart(slot.name, part), away)


def goes_in(kind: str, family: str, library: Library) -> tuple[str, ...]:
    """The parts of a kind that somebody makes for an engine and that may go into a family, in order of id.

    Of kinds that fit by their sizes those of any family, since rules look at these; of others those of the family only.
    Sizes usual in the trade are nobody's part to buy.
    """
    knowledge = library.knowledge
    of_kind = sorted(part.id for part in knowledge.parts.values() if part.kind == kind)
    if library.vocabulary.kinds[kind].fits_by == "sizes":
        return tuple(id_ for id_ in of_kind if is_one_part(knowledge.parts[id_]))
    led = leading_to(knowledge, (family,))
    return tuple(id_ for id_ in of_kind if id_ in led)


def suggestions(mends: Iterable[Mend]) -> dict[str, str]:
    """What rules say is to be done, by what it tries; of several words for one thing the first."""
    said: dict[str, str] = {}
    for mend in mends:
        if mend.tries:
            said.setdefault(mend.tries, mend.do)
    return said


def sizes_for(
    build: Build, library: Library, suggested: Mapping[str, str], wanted: Mapping[str, float]
) -> Iterator[Sized]:
    """The sizes among what is suggested that the family has and that count as the build stands.

    Where preload follows from the heights, the pushrod's length is tried in its stead. `wanted` are sizes SI that are
    known to be asked for, by name.
    """
    for tries, do in _with_pushrods(build, library.vocabulary, suggested).items():
        attribute = _attribute(build, library, tries)
        if attribute is not None and attribute.quantity:
            near = (*_near(build, tries), *((wanted[tries],) if tries in wanted else ()))
            yield Sized(do, tries, attribute, near)


def _with_pushrods(build: Build, vocabulary: Vocabulary, suggested: Mapping[str, str]) -> dict[str, str]:
    stack = vocabulary.kinds["settings"].stack
    if stack is None or stack.cold not in suggested or not _by_heights(build, stack):
        return dict(suggested)
    return {**suggested, stack.pushrod: MADE_TO_LENGTH}


def _by_heights(build: Build, stack: Stack) -> bool:
    comes_from = build.settings.get(stack.comes_from)
    return comes_from is not None and comes_from.magnitude == BY_HEIGHTS


def _attribute(build: Build, library: Library, tries: str) -> Attribute | None:
    slot, _, name = tries.rpartition(".")
    if not slot:
        return _that_counts(library.vocabulary.kinds["settings"], name, build.settings, build)
    if slot not in build.fitted:
        return None
    kind = library.vocabulary.kinds[build.family.plan.slots[slot].kind]
    here = (_that_counts(kind, name, fitted.has, build) for fitted in build.fitted[slot] if fitted)
    return next((attribute for attribute in here if attribute), None)


def _that_counts(kind: Kind, name: str, has: Mapping[str, Value], build: Build) -> Attribute | None:
    attribute = kind.attributes.get(name)
    if attribute is None:
        return None
    chosen = {of: value.magnitude for of, value in has.items()}
    chosen |= {f"settings.{of}": value.magnitude for of, value in build.settings.items()}
    needed = attribute.is_needed(chosen) if isinstance(attribute.needed, dict) else True
    return attribute if needed and attribute.counts(chosen) else None


def _near(build: Build, tries: str) -> Iterator[float]:
    slot, _, name = tries.rpartition(".")
    if not slot:
        named: tuple[Value | None, ...] = (
            build.family.reference.settings.get(name),
            build.settings.get(name),
        )
    else:
        rows = (*build.designed[slot], *build.fitted[slot])
        named = tuple(fitted.has.get(name) for fitted in rows if fitted)
    sizes = (value.magnitude for value in named if value)
    yield from dict.fromkeys(size for size in sizes if isinstance(size, float))
