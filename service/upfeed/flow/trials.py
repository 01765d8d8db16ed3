"""Many builds of one family beside its reference, solved side by side as one array."""

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct, field

from upfeed.flow.engines import Engines
from upfeed.flow.facts import Column, Facts, Value
from upfeed.flow.limits import limits
from upfeed.flow.named import fact_columns, is_fact, of_reference, part_name, ratio, reading
from upfeed.flow.parted import parted
from upfeed.flow.plan import Topology
from upfeed.flow.topologies import Topologies
from upfeed.knowledge.build import Build
from upfeed.knowledge.likevalves import Like, like_valves
from upfeed.knowledge.partfacts import PartFacts
from upfeed.knowledge.records import Knowledge
from upfeed.knowledge.variants import Corners, Variant, corners, variant
from upfeed.knowledge.vocabulary import Vocabulary


class Trial(Struct, frozen=True):
    """A build to be tried: its corner cases, and its groups of valves with like parts."""

    build: Build
    corners: Corners
    like_valves: Like


class Trials(Struct, frozen=True):
    """Builds of one family and plan, and the facts under each limit of what trapped air may do.

    An entry is a corner case of a build; the entries of a build stand together, builds in the order given, all of one
    limit before those of the other. `rows` are those of each build. Variants of the facts: every entry, then the
    reference. `of_parts` are what parts alone tell of each build, then of the reference; none where nobody asks.
    """

    trials: tuple[Trial, ...]
    reference: Build
    topology: Topology
    limits: tuple[Facts, ...]
    rows: tuple[range, ...]
    of_parts: tuple[PartFacts, ...] = ()
    _known: dict[tuple[str, int], Column] = field(default_factory=dict)

    @property
    def count(self) -> int:
        """Corner cases of all builds together."""
        return self.rows[-1].stop

    @property
    def entries(self) -> int:
        """How many there are under all limits together."""
        return self.count * self._times

    @property
    def _times(self) -> int:
        """Builds that nobody solved have their values all the same."""
        return max(len(self.limits), 1)

    def known(self, name: str, valve: int) -> Column:
        """A value, setting, part name or fact by name: one entry a corner case and limit.

        Where a build's corner cases bound nothing, only what all of them agree on is known.
        """
        key = name, valve
        if key not in self._known:
            self._known[key] = self._bounded(self._found(name, valve))
        return self._known[key]

    def _found(self, name: str, valve: int) -> Column:
        if name.startswith("reference."):
            of_each = self._of_reference(name.removeprefix("reference."), valve)
            return tuple(value for value in of_each for _ in range(self.count))
        if name.startswith("ratio."):
            fact = name.removeprefix("ratio.")
            pairs = zip(self.known(fact, valve), self.known(f"reference.{fact}", valve), strict=True)
            return tuple(ratio(value, reference) for value, reference in pairs)
        return self._of_builds(name, valve)

    def _bounded(self, column: Column) -> Column:
        if all(trial.corners.bounding for trial in self.trials):
            return column
        values = list(column)
        for trial, rows in zip(self.trials, self.rows, strict=True):
            own = [i + first for first in range(0, self.entries, self.count) for i in rows]
            if not trial.corners.bounding and len({values[i] for i in own}) > 1:
                for i in own:
                    values[i] = None
        return tuple(values)

    def _of_reference(self, name: str, valve: int) -> tuple[Value, ...]:
        """One entry a limit."""
        if self._is_told_by_parts(name):
            return (self.of_parts[-1].value(name, valve),) * self._times
        return of_reference(self.reference, self.limits, name, valve)

    def _is_told_by_parts(self, name: str) -> bool:
        return bool(self.of_parts) and self.of_parts[-1].tells(name)

    def _of_builds(self, name: str, valve: int) -> Column:
        if self._is_told_by_parts(name):
            return self._for_corners([parts.value(name, valve) for parts in self.of_parts[:-1]])
        if is_fact(name, self.reference):
            columns = fact_columns(self.limits, name, valve)
            return tuple(v for column in columns for v in column[:-1]) or (None,) * self.entries
        slot, _, attribute = name.partition(".")
        if attribute == "name":
            return self._for_corners([part_name(trial.build, slot, valve) for trial in self.trials])
        known = [v.settings if slot == "settings" else v.at(slot, valve) for v in _variants(self.trials)]
        if all(k is known[0] for k in known):
            return (reading(known[0].get(attribute)),) * self.entries
        return tuple(reading(k.get(attribute)) for k in known) * self._times

    def _for_corners(self, of_each: Sequence[Value]) -> Column:
        """One value a build, at each of its corner cases."""
        pairs = zip(of_each, self.rows, strict=True)
        return tuple(value for value, rows in pairs for _ in rows) * self._times


def trial(build: Build, reference: Build, vocabulary: Vocabulary) -> Trial:
    """A build made ready to be tried. Raises DataFaults for one whose lobes cannot be."""
    return Trial(build, corners(build, vocabulary), like_valves(build, reference))


def as_written(build: Build, reference: Build, slot: str, beside: Variant) -> Trial:
    """A build by what is written of it alone: what is missing stays unknown.

    `beside` is one that differs from it in what stands in `slot` at most.
    """
    known = {f.key: {name: value.magnitude for name, value in f.has.items()} for f in build.fitted[slot] if f}
    own = tuple(known[f.key] for f in build.fitted[slot] if f)
    only = Variant({**beside.slots, slot: own}, beside.settings, beside.points)
    return Trial(build, Corners((), ((),), (only,), sampled=False), like_valves(build, reference))


def side_by_side(tried: Sequence[Trial], reference: Build, ways: Topology) -> Trials:
    """Builds of which nothing is computed: what parts and settings alone tell."""
    return Trials(tuple(tried), reference, ways, (), tuple(_rows(tried)))


def solved_together(
    tried: Sequence[Trial],
    reference: Build,
    vocabulary: Vocabulary,
    topologies: Topologies | None = None,
    knowledge: Knowledge | None = None,
) -> Iterator[tuple[tuple[int, ...], Trials]]:
    """All builds solved, those with one topology as one array: which of the builds, and what came of them.

    What parts alone tell is told where `knowledge` of the parts is given. Builds with a slot left open or a table
    missing cannot be computed: raises ValueError.
    """
    if unfit := [one.build.name for one in tried if one.build.open_slots or one.corners.tables]:
        raise ValueError(f"{unfit}: left open, or without a table that is needed")
    kept = Topologies() if topologies is None else topologies
    plan, points = reference.family.plan, tuple(reference.points)
    designed = variant(reference)
    groups: dict[frozenset[tuple[str, str]], list[int]] = {}
    for i, one in enumerate(tried):
        alone = Engines(plan, vocabulary, (*one.corners.variants, designed), points)
        groups.setdefault(parted(alone), []).append(i)
    for opened, members in groups.items():
        ways = kept.of(reference.family.id, plan, vocabulary.kinds, opened)
        chosen = tuple(tried[i] for i in members)
        engines = Engines(plan, vocabulary, (*_variants(chosen), designed), points)
        of_parts = _of_parts(chosen, reference, knowledge, vocabulary) if knowledge else ()
        solved = limits(engines, ways)
        yield tuple(members), Trials(chosen, reference, ways, solved, tuple(_rows(chosen)), of_parts)


def _of_parts(
    tried: Sequence[Trial], reference: Build, knowledge: Knowledge, vocabulary: Vocabulary
) -> tuple[PartFacts, ...]:
    return tuple(PartFacts(of, knowledge, vocabulary) for of in (*(one.build for one in tried), reference))


def _rows(trials: Iterable[Trial]) -> Iterator[range]:
    first = 0
    for one in trials:
        yield range(first, first := first + len(one.corners.variants))


def _variants(trials: Iterable[Trial]) -> Iterator[Variant]:
    return (v for one in trials for v in one.corners.variants)
