"""Everything known and computed about a build beside its reference: values and facts by name, place by place."""

from msgspec import Struct

from upfeed.build import Build, Fitted, reference_build, resolve
from upfeed.circuit import circuit
from upfeed.engines import Engines
from upfeed.facts import Column, Facts
from upfeed.plan import Topology, topology
from upfeed.records import BuildSheet, Intent, Knowledge, Value
from upfeed.solve import solve
from upfeed.variants import Corners, corners, variant
from upfeed.vocabulary import Vocabulary


class Survey(Struct, frozen=True):
    """A build, its reference, what is missing, and the facts; these are None where a slot was left open."""

    build: Build
    reference: Build
    topology: Topology
    corners: Corners
    facts: Facts | None
    part_intents: tuple[Intent, ...]

    @property
    def intents(self) -> tuple[Intent, ...]:
        """What the family's designer and the makers of its reference parts meant."""
        return (*self.build.family.intents, *self.part_intents)

    @property
    def corner_count(self) -> int:
        """Corner cases of the build; each column of its facts has one entry more, for the reference."""
        return len(self.corners.variants)

    def known(self, name: str, valve: int) -> Column:
        """A build's value, setting, part name or fact by name: one entry a corner case."""
        if name.startswith("reference."):
            return (self._of_reference(name.removeprefix("reference."), valve),) * self.corner_count
        if name.startswith("ratio."):
            fact = name.removeprefix("ratio.")
            return tuple(ratio(x, self._of_reference(fact, valve)) for x in self._of_build(fact, valve))
        return self._of_build(name, valve)

    def value(self, name: str, valve: int) -> Value | None:
        """The value behind a build's attribute or setting, with its standing and origin."""
        of = self.build
        if name.startswith("reference."):
            of, name = self.reference, name.removeprefix("reference.")
        slot, _, attribute = name.partition(".")
        if slot == "settings":
            return of.settings.get(attribute)
        fitted = of.at(slot, valve) if slot in of.fitted else None
        return fitted.has.get(attribute) if fitted else None

    def _of_build(self, name: str, valve: int) -> Column:
        slot, _, attribute = name.partition(".")
        if slot in self.build.fitted and self.build.at(slot, valve) is None:
            return (None,) * self.corner_count
        if attribute == "name" and slot in self.build.fitted:
            return (_name(self.build.at(slot, valve)),) * self.corner_count
        if slot == "settings":
            return tuple(v.settings.get(attribute) for v in self.corners.variants)
        if slot in self.build.fitted:
            return tuple(v.at(slot, valve).get(attribute) for v in self.corners.variants)
        return self.facts.column(name, valve)[:-1] if self.facts else (None,) * self.corner_count

    def _of_reference(self, name: str, valve: int) -> float | str | bool | None:
        slot, _, attribute = name.partition(".")
        if slot in self.reference.fitted and attribute == "name":
            return _name(self.reference.at(slot, valve))
        if slot == "settings" or slot in self.reference.fitted:
            value = self.value(f"reference.{name}", valve)
            return value.magnitude if value else None
        return self.facts.column(name, valve)[-1] if self.facts else None


def survey(sheet: BuildSheet, knowledge: Knowledge, vocabulary: Vocabulary) -> Survey:
    """Resolve a build, compute it beside its reference. Raises DataFaults for a build that can't be."""
    build = resolve(sheet, knowledge, vocabulary)
    reference = reference_build(build.family, knowledge, vocabulary)
    ways = topology(build.family.plan, vocabulary.kinds)
    cases = corners(build, vocabulary)
    facts = _facts(build, reference, ways, cases, vocabulary)
    return Survey(build, reference, ways, cases, facts, _part_intents(reference, knowledge))


def ratio(value: object, reference: object) -> float | None:
    """Value over reference; unknown where either is, or the reference is zero."""
    if isinstance(value, float) and isinstance(reference, float) and reference:
        return value / reference
    return None


def _part_intents(reference: Build, knowledge: Knowledge) -> tuple[Intent, ...]:
    ids = dict.fromkeys(fitted.id for row in reference.fitted.values() for fitted in row if fitted)
    return tuple(intent for id_ in ids if id_ for intent in knowledge.parts[id_].intents)


def _name(fitted: Fitted | None) -> str | None:
    return fitted.name if fitted else None


def _facts(
    build: Build, reference: Build, ways: Topology, cases: Corners, vocabulary: Vocabulary
) -> Facts | None:
    if build.open_slots:
        return None
    engines = Engines(
        build.family.plan, vocabulary, (*cases.variants, variant(reference)), tuple(build.points)
    )
    wired = circuit(engines, ways)
    return Facts(wired, solve(wired.network))
