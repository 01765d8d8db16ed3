"""Everything known and computed about a build beside its reference: values and facts by name, place by place."""

from collections.abc import Mapping

from msgspec import Struct, field
from msgspec.structs import replace

from upfeed.flow.engines import Engines
from upfeed.flow.facts import Column, Facts, Value
from upfeed.flow.limits import limits
from upfeed.flow.named import fact_columns, is_fact, of_reference, part_name, ratio, reading, value_given
from upfeed.flow.parted import parted
from upfeed.flow.plan import Topology
from upfeed.flow.topologies import Topologies
from upfeed.knowledge.build import Build, reference_build, resolve
from upfeed.knowledge.likevalves import Like, like_valves
from upfeed.knowledge.partfacts import PartFacts
from upfeed.knowledge.records import BuildSheet, Intent, Knowledge
from upfeed.knowledge.records import Value as Given
from upfeed.knowledge.variants import Corners, corners, variant
from upfeed.knowledge.vocabulary import Vocabulary


class Survey(Struct, frozen=True):
    """A build, its reference, what is missing, and the facts.

    One set of facts for each limit of what trapped air may do, the steady one first; none where a slot was left
    open or a table is missing. A case is a corner case of the build under one limit: all corners of the first limit
    come first. `of_parts` and `designed_of_parts` tell what is known of the parts alone; `of_draws` holds facts that
    only draws of what values may be can tell.
    """

    build: Build
    reference: Build
    topology: Topology
    corners: Corners
    limits: tuple[Facts, ...]
    part_intents: tuple[Intent, ...]
    like_valves: Like
    of_parts: PartFacts
    designed_of_parts: PartFacts
    of_draws: Mapping[str, Value] = {}
    _known: dict[tuple[str, int], Column] = field(default_factory=dict)

    @property
    def intents(self) -> tuple[Intent, ...]:
        """What the family's designer and the makers of its reference parts meant."""
        return (*self.build.family.intents, *self.part_intents)

    @property
    def facts(self) -> Facts | None:
        """The facts of steady flow."""
        return self.limits[0] if self.limits else None

    @property
    def corner_count(self) -> int:
        """Corner cases of the build under each limit."""
        return len(self.corners.variants)

    def after_draws(self, told: Mapping[str, Value]) -> "Survey":
        """The same with facts that draws have told."""
        return replace(self, of_draws=told, _known={})

    def known(self, name: str, valve: int) -> Column:
        """A build's value, setting, part name or fact by name: one entry a case."""
        key = name, valve
        if key not in self._known:
            self._known[key] = self._found(name, valve)
        return self._known[key]

    def _found(self, name: str, valve: int) -> Column:
        if name.startswith("reference."):
            references = self._of_reference(name.removeprefix("reference."), valve)
            return tuple(value for value in references for _ in range(self.corner_count))
        if name.startswith("ratio."):
            fact = name.removeprefix("ratio.")
            pairs = zip(self._of_build(fact, valve), self.known(f"reference.{fact}", valve), strict=True)
            return tuple(ratio(value, reference) for value, reference in pairs)
        return self._of_build(name, valve)

    def value(self, name: str, valve: int) -> Given | None:
        """The value behind a build's attribute or setting, with its standing and origin."""
        if name.startswith("reference."):
            return value_given(self.reference, name.removeprefix("reference."), valve)
        return value_given(self.build, name, valve)

    def _of_build(self, name: str, valve: int) -> Column:
        if name in self.of_draws:
            return (self.of_draws[name],) * len(self._nothing)
        if self.of_parts.tells(name):
            return (self.of_parts.value(name, valve),) * len(self._nothing)
        if is_fact(name, self.build):
            columns = fact_columns(self.limits, name, valve)
            return tuple(value for column in columns for value in column[:-1]) if columns else self._nothing
        slot, _, attribute = name.partition(".")
        if slot == "settings":
            own = tuple(reading(v.settings.get(attribute)) for v in self.corners.variants)
        elif self.build.at(slot, valve) is None:
            return self._nothing
        elif attribute == "name":
            own = (part_name(self.build, slot, valve),) * self.corner_count
        else:
            own = tuple(reading(v.at(slot, valve).get(attribute)) for v in self.corners.variants)
        return own * max(len(self.limits), 1)

    def _of_reference(self, name: str, valve: int) -> Column:
        """One entry a limit; draws tell nothing of a reference."""
        if name in self.of_draws:
            return (None,) * max(len(self.limits), 1)
        if self.designed_of_parts.tells(name):
            return (self.designed_of_parts.value(name, valve),) * max(len(self.limits), 1)
        return of_reference(self.reference, self.limits, name, valve)

    @property
    def _nothing(self) -> Column:
        return (None,) * (self.corner_count * max(len(self.limits), 1))


def survey(
    sheet: BuildSheet, knowledge: Knowledge, vocabulary: Vocabulary, topologies: Topologies | None = None
) -> Survey:
    """Resolve a build, compute it beside its reference. Raises DataFaults for a build that can't be.

    `topologies` keep what depends on the family's plan alone, from one build to the next.
    """
    build = resolve(sheet, knowledge, vocabulary)
    reference = reference_build(build.family, knowledge, vocabulary)
    cases = corners(build, vocabulary)
    engines = _engines(build, reference, cases, vocabulary)
    apart = parted(engines) if engines else frozenset()
    made = Topologies() if topologies is None else topologies
    ways = made.of(build.family.id, build.family.plan, vocabulary.kinds, apart)
    solved = limits(engines, ways) if engines else ()
    intents, like = _part_intents(reference, knowledge), like_valves(build, reference)
    parts, designed = (PartFacts(of, knowledge, vocabulary) for of in (build, reference))
    return Survey(build, reference, ways, cases, solved, intents, like, parts, designed)


def _part_intents(reference: Build, knowledge: Knowledge) -> tuple[Intent, ...]:
    ids = dict.fromkeys(fitted.id for row in reference.fitted.values() for fitted in row if fitted)
    return tuple(intent for id_ in ids if id_ for intent in knowledge.parts[id_].intents)


def _engines(build: Build, reference: Build, cases: Corners, vocabulary: Vocabulary) -> Engines | None:
    """All corner cases and the reference last; None where a slot was left open or a table is missing."""
    if build.open_slots or cases.tables:
        return None
    variants = (*cases.variants, variant(reference))
    return Engines(build.family.plan, vocabulary, variants, tuple(build.points))
