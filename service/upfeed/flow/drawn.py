"""The facts of a build and its reference in every draw of what their values may be."""

from msgspec import Struct, field

from upfeed.flow.engines import Engines
from upfeed.flow.facts import Column, Facts
from upfeed.flow.limits import limits
from upfeed.flow.named import fact_columns, is_fact, part_name, ratio, reading
from upfeed.flow.squeeze import BINS
from upfeed.flow.survey import Survey
from upfeed.knowledge.draws import Draws, draws
from upfeed.knowledge.variants import variant
from upfeed.knowledge.vocabulary import Vocabulary

COARSE = 5 * BINS
"""States each lobe is looked at in here: flows of the demo's pushrod-fed engines are within a thousandth of those at
three times as many, far inside any band."""


class Drawn(Struct, frozen=True):
    """Draws of a surveyed build, and the facts under each limit of what trapped air may do.

    Variants of the facts: every draw of the build, then every draw of the reference, then the reference as given.
    """

    survey: Survey
    draws: Draws
    limits: tuple[Facts, ...]
    _known: dict[tuple[str, int], Column] = field(default_factory=dict)

    @property
    def count(self) -> int:
        """How many draws there are."""
        return len(self.draws.builds)

    @property
    def entries(self) -> int:
        """How many there are under all limits together."""
        return self.count * len(self.limits)

    def known(self, name: str, valve: int) -> Column:
        """A value, setting, part name or fact by name, draw by draw; all draws of the first limit come first."""
        key = name, valve
        if key not in self._known:
            self._known[key] = self._found(name, valve)
        return self._known[key]

    def _found(self, name: str, valve: int) -> Column:
        if name.startswith("reference."):
            return self._read(name.removeprefix("reference."), valve, reference=True)
        if name.startswith("ratio."):
            fact = name.removeprefix("ratio.")
            pairs = (self._read(fact, valve, reference=of) for of in (False, True))
            return tuple(ratio(value, designed) for value, designed in zip(*pairs, strict=True))
        return self._read(name, valve, reference=False)

    def _read(self, name: str, valve: int, *, reference: bool) -> Column:
        told = self.survey.designed_of_parts if reference else self.survey.of_parts
        if told.tells(name):
            return (told.value(name, valve),) * self.entries
        build = self.survey.reference if reference else self.survey.build
        if is_fact(name, build):
            return self._fact(name, valve, reference=reference)
        slot, _, attribute = name.partition(".")
        if attribute == "name":
            return (part_name(build, slot, valve),) * self.entries
        variants = self.draws.references if reference else self.draws.builds
        known = (v.settings if slot == "settings" else v.at(slot, valve) for v in variants)
        return tuple(reading(k.get(attribute)) for k in known) * len(self.limits)

    def _fact(self, name: str, valve: int, *, reference: bool) -> Column:
        first = self.count if reference else 0
        columns = fact_columns(self.limits, name, valve)
        return tuple(value for column in columns for value in column[first : first + self.count])


def drawn(survey: Survey, vocabulary: Vocabulary, count: int) -> Drawn | None:
    """`count` draws of a survey's build and reference, solved side by side.

    None for no draws, and where something is missing or left open: what is not known at all has no spread.
    """
    if not count or not can_be_drawn(survey):
        return None
    made = draws(survey.build, survey.reference, vocabulary, count)
    variants = (*made.builds, *made.references, variant(survey.reference))
    family, points = survey.build.family, tuple(survey.build.points)
    engines = Engines(family.plan, vocabulary, variants, points, COARSE)
    return Drawn(survey, made, limits(engines, survey.topology))


def can_be_drawn(survey: Survey) -> bool:
    """Whether nothing of a build is missing or left open."""
    return bool(survey.limits) and not survey.corners.missing
