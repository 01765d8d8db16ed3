"""Looks for changes of a build that leave less against it: one alone, sizes looked at twice, then two together."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from msgspec import Struct

from upfeed.advising.choosing.candidates import Candidate, Sized, parts_for, sizes_for, suggestions
from upfeed.advising.choosing.changes import OtherPart, changed
from upfeed.advising.choosing.together import Together
from upfeed.advising.choosing.trying import IDLE, Standing, standings, standings_of
from upfeed.answering.library import Library
from upfeed.flow.trials import Trial, Trials, solved_together, trial
from upfeed.knowledge.build import Build, reference_build, resolve, with_part
from upfeed.knowledge.records import BuildSheet
from upfeed.reading.faults import DataFaults

_BEST_OF_A_SLOT = 3
_BEST = 12
"""What is put together with more: the best of each slot, and so many in all."""

_MORE_CHANGES = 2
"""Beside the first: who would do four things at once has another engine in mind."""

_NONE = (0, 0, 0)


class Way(Struct, frozen=True):
    """One or two changes and how the build then stands."""

    candidates: tuple[Candidate, ...]
    standing: Standing

    @property
    def rank(self) -> tuple[object, ...]:
        """The best first: what is left, the oil, the pressure, the fewer changes, the nearer to the design."""
        away = sum(candidate.away for candidate in self.candidates)
        return (*self.standing.rank, len(self.candidates), away, self.labels)

    @property
    def slots(self) -> tuple[str, ...]:
        """Where something is changed."""
        return tuple(sorted(candidate.slot for candidate in self.candidates))

    @property
    def is_sized(self) -> bool:
        """Whether a setting or a size is among what is changed."""
        return any(not isinstance(candidate.change, OtherPart) for candidate in self.candidates)

    @property
    def labels(self) -> tuple[str, ...]:
        """What is changed to what."""
        return tuple(f"{c.change.name} {c.change.new}" for c in self.candidates)


class Found(Struct, frozen=True):
    """How a build stands, and every way that leaves less against it, the best first."""

    before: Standing
    ways: tuple[Way, ...]


class Search:
    """The changes of one build, tried against its family's reference; `count` is how many builds were computed."""

    def __init__(self, sheet: BuildSheet, library: Library) -> None:
        self._sheet, self._library = sheet, library
        self.build = resolve(sheet, library.knowledge, library.vocabulary)
        self.reference = reference_build(self.build.family, library.knowledge, library.vocabulary)
        self._own = trial(self.build, self.reference, library.vocabulary)
        self.count = 0

    @property
    def cannot_begin(self) -> tuple[str, ...]:
        """What keeps the build from being computed at all."""
        return (*self.build.open_slots, *self._own.corners.tables)

    def ways(self) -> Found:
        """Every change there is, alone; pairs of the best where none alone will do, and threes where no two will.

        Raises ValueError for a build that cannot be computed.
        """
        before = self.before()
        if before.burden == _NONE:
            return Found(before, ())
        said = self._suggested(before)
        sizes = tuple(sizes_for(self.build, self._library, said, self._wanted()))
        singles = self.tried([(c,) for c in self._singles(said, sizes)])
        singles = [*singles, *self.tried(_closer(sizes, singles))]
        best, ways = _best_of_slots(singles, before), _better(singles, before)
        last = best
        for _ in range(_MORE_CHANGES):
            if not last or (ways and ways[0].standing.burden == _NONE):
                break
            last = sorted(self.tried(_joined(last, best)), key=lambda way: way.rank)[:_BEST]
            ways = sorted([*ways, *_that_gain(last, ways, before)], key=lambda way: way.rank)
        return Found(before, tuple(ways))

    def before(self) -> Standing:
        """How the build stands as it is."""
        (standing,) = standings_of(Together(self._alone, self._library), self._library)
        return standing

    @cached_property
    def _alone(self) -> Trials:
        """The build as it is, solved."""
        vocabulary, topologies = self._library.vocabulary, self._library.topologies
        ((_, trials),) = solved_together([self._own], self.reference, vocabulary, topologies)
        return trials

    def tried(self, several: Iterable[tuple[Candidate, ...]]) -> list[Way]:
        """How the build stands with each of several changes; what cannot be built or computed is left out."""
        made = [(candidates, self._with(candidates)) for candidates in several]
        sound = [(candidates, one) for candidates, one in made if one is not None]
        self.count += len(sound)
        found = standings([one for _, one in sound], self.reference, self._library)
        return [Way(candidates, standing) for (candidates, _), standing in zip(sound, found, strict=True)]

    def sheet_with(self, way: Way) -> BuildSheet:
        """The build's sheet with a way's changes."""
        return self._changed(way.candidates)

    def _changed(self, candidates: Sequence[Candidate]) -> BuildSheet:
        return changed(self._sheet, self.build.family, tuple(c.change for c in candidates))

    def _with(self, candidates: Sequence[Candidate]) -> Trial | None:
        try:
            one = trial(self._built(candidates), self.reference, self._library.vocabulary)
        except DataFaults:
            return None
        return None if one.build.open_slots or one.corners.tables else one

    def _built(self, candidates: Sequence[Candidate]) -> Build:
        sheet, knowledge = self._changed(candidates), self._library.knowledge
        change = candidates[0].change
        if len(candidates) == 1 and isinstance(change, OtherPart):
            return with_part(self.build, sheet, change.slot, knowledge.parts[change.part])
        return resolve(sheet, knowledge, self._library.vocabulary)

    def _suggested(self, before: Standing) -> dict[str, str]:
        rules = self._library.rulebook.rules
        heaviest = (*sorted(before.stops), *sorted(before.untold), *sorted(before.cautions))
        return suggestions(mend for id_ in heaviest for mend in rules[id_].mend)

    def _singles(self, said: Mapping[str, str], sizes: Iterable[Sized]) -> Iterator[Candidate]:
        yield from parts_for(self.build, self._library, said)
        for size in sizes:
            yield from size.first_look()

    def _wanted(self) -> dict[str, float]:
        """The length that the stack asks of a pushrod, where the heights tell it."""
        stack = self._library.vocabulary.kinds["settings"].stack
        if stack is None:
            return {}
        known = self._alone.known(f"required_pushrod_length.{IDLE}", 0)
        lengths = [size for size in known if isinstance(size, float)]
        return {stack.pushrod: lengths[0]} if lengths else {}


def _closer(sizes: Iterable[Sized], ways: Sequence[Way]) -> Iterator[tuple[Candidate, ...]]:
    """Each size once more, between the best of the first look and its neighbours."""
    for size in sizes:
        of_size = [way for way in ways if way.candidates[0].tries == size.tries]
        if of_size:
            best = min(of_size, key=lambda way: way.rank)
            looked_at = [way.candidates[0].magnitude for way in of_size]
            for candidate in size.closer(looked_at, best.candidates[0].magnitude):
                yield (candidate,)


def _better(ways: Iterable[Way], before: Standing) -> list[Way]:
    return sorted((way for way in ways if way.standing.burden < before.burden), key=lambda way: way.rank)


def _that_gain(several: Iterable[Way], ways: Sequence[Way], before: Standing) -> list[Way]:
    """Those that leave less against the build than the best of fewer changes does."""
    least = min((way.standing.burden for way in ways), default=before.burden)
    return [way for way in _better(several, before) if way.standing.burden < least]


def _best_of_slots(singles: Sequence[Way], before: Standing) -> list[Way]:
    """The best of what is tried in each place, if it clears anything at all."""
    gaining = [way for way in singles if before.raised - way.standing.raised]
    best: list[Way] = []
    for tries in dict.fromkeys(way.candidates[0].tries for way in gaining):
        of_slot = [way for way in gaining if way.candidates[0].tries == tries]
        best.extend(sorted(of_slot, key=lambda way: way.rank)[:_BEST_OF_A_SLOT])
    return sorted(best, key=lambda way: way.rank)[:_BEST]


def _joined(ways: Iterable[Way], singles: Sequence[Way]) -> Iterator[tuple[Candidate, ...]]:
    """Each way with one more change, in a place where it changes nothing yet; each set of changes once."""
    made: set[frozenset[str]] = set()
    for way in ways:
        for single in singles:
            labels = frozenset((*way.labels, *single.labels))
            if single.slots[0] not in way.slots and labels not in made:
                made.add(labels)
                yield (*way.candidates, *single.candidates)
