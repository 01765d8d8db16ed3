"""Every known part for one slot of a build that is whole but for it, put in order of how well it goes in."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

from msgspec import Struct

from upfeed.advising.choosing.candidates import goes_in
from upfeed.advising.choosing.changes import OtherPart
from upfeed.advising.choosing.together import Met, Together
from upfeed.advising.choosing.trying import IDLE
from upfeed.answering.library import Library
from upfeed.flow.trials import Trial, as_written, side_by_side, solved_together, trial
from upfeed.judging.message import System
from upfeed.judging.rules import Rule
from upfeed.knowledge.build import Build, reference_build, with_part
from upfeed.knowledge.placing import is_one_part
from upfeed.knowledge.records import Part
from upfeed.knowledge.variants import variant
from upfeed.reading.faults import DataFaults

MOST_COMPUTED = 1000
"""Parts of a slot that reach the oil model; what sizes alone rule out does not count."""

Fit = Literal["fits", "fits_with_findings", "cannot_tell_yet", "does_not_fit", "not_computed"]
"""Best first, but for what was not looked at."""

_FITS: tuple[Fit, ...] = ("fits", "fits_with_findings", "cannot_tell_yet", "not_computed", "does_not_fit")


class Choice(Struct, frozen=True, forbid_unknown_fields=True):
    """A part and whether it goes in; the rule that decides, if one does, and what it says.

    `others` are further rules that it raises or leaves open, the heaviest first. `worst_valve` is the worst valve's oil
    at hot idle over the design's, `gallery_pressure` that at the gauge in Pa; null where nothing was computed or the
    number is not known.
    """

    part: str
    name: str
    fit: Fit
    rule: str | None
    says: str | None
    others: list[str]
    worst_valve: float | None
    gallery_pressure: float | None


def choices_for(build: Build, slot: str, library: Library, system: System = "shop") -> list[Choice]:
    """All known parts of the slot's kind that somebody sells, those that fit first."""
    kind, family = build.family.plan.slots[slot].kind, build.family.id
    parts = [p for p in library.knowledge.parts.values() if p.kind == kind and is_one_part(p)]
    ours = set(goes_in(kind, family, library))
    slot_of = _Slot(build, slot, library, system)
    ruled_out, left = slot_of.by_sizes([part for part in parts if part.id in ours])
    left = sorted(left, key=lambda part: (family not in part.relations.get("designed_for", ()), part.id))
    return sorted(
        (
            *slot_of.computed(left[:MOST_COMPUTED]),
            *(_plain(part, "not_computed", _TOO_MANY) for part in left[MOST_COMPUTED:]),
            *ruled_out,
            *(_plain(part, "does_not_fit", _FOREIGN) for part in parts if part.id not in ours),
        ),
        key=_order,
    )


_FOREIGN = "made for another family, and nothing says that it goes into this one"
_TOO_MANY = f"not computed: only {MOST_COMPUTED} parts of a slot are"


def _plain(part: Part, fit: Fit, says: str) -> Choice:
    return Choice(part.id, part.name, fit, None, says, [], None, None)


def _order(choice: Choice) -> tuple[int, float, str]:
    """How well it goes in, then how near the worst valve's oil is to the design's."""
    away = abs(choice.worst_valve - 1) if choice.worst_valve is not None else float("inf")
    return _FITS.index(choice.fit), round(away, 2), choice.part


class _Slot:
    """A slot, and the rules that a part in it has to get past."""

    def __init__(self, build: Build, slot: str, library: Library, system: System) -> None:
        self._build, self._slot, self._library, self._system = build, slot, library, system
        self._reference = reference_build(build.family, library.knowledge, library.vocabulary)
        self._rules = [rule for rule in library.rulebook.rules.values() if rule.weighs != "note"]

    def by_sizes(self, parts: Sequence[Part]) -> tuple[list[Choice], list[Part]]:
        """Those that a stop rules out by sizes alone, without any oil computed; and the others."""
        stops = [rule for rule in self._rules if rule.weighs == "stop" and self._needs_no_oil(rule)]
        if not parts:
            return [], []
        family, kinds = self._build.family, self._library.vocabulary.kinds
        ways = self._library.topologies.of(family.id, family.plan, kinds)
        beside = variant(self._build)
        tried = [as_written(self._with(part), self._reference, self._slot, beside) for part in parts]
        together = Together(side_by_side(tried, self._reference, ways), self._library)
        ruled_out, left = [], []
        for i, (part, fired) in enumerate(zip(parts, together.fired(stops), strict=True)):
            if fired:
                ruled_out.append(self._choice(part, together, i, fired, ()))
            else:
                left.append(part)
        return ruled_out, left

    def computed(self, parts: Sequence[Part]) -> Iterator[Choice]:
        """How the build stands with each of these."""
        sound: list[tuple[Part, Trial]] = []
        for part in parts:
            try:
                one = trial(self._with(part), self._reference, self._library.vocabulary)
            except DataFaults as wrong:
                yield _plain(part, "does_not_fit", "; ".join(map(str, wrong.faults)))
                continue
            if one.corners.tables:
                yield _plain(part, "cannot_tell_yet", f"not read off: {', '.join(one.corners.tables)}")
            else:
                sound.append((part, one))
        yield from self._judged(sound)

    def _judged(self, sound: Sequence[tuple[Part, Trial]]) -> Iterator[Choice]:
        tried, library = [one for _, one in sound], self._library
        for members, trials in solved_together(
            tried, self._reference, library.vocabulary, library.topologies
        ):
            together = Together(trials, library)
            for i, met in enumerate(together.met(self._rules)):
                part, one = sound[members[i]]
                missing = [missing.name for missing in one.corners.missing]
                yield self._choice(part, together, i, met, missing)

    def _with(self, part: Part) -> Build:
        sheet = OtherPart(self._slot, part.id).on(self._build.sheet, self._build.family)
        return with_part(self._build, sheet, self._slot, part)

    def _needs_no_oil(self, rule: Rule) -> bool:
        facts = self._library.vocabulary.facts
        bare = (name.removeprefix("ratio.").removeprefix("reference.") for name in rule.reads)
        return not any(name.partition(".")[0] in facts for name in bare)

    def _choice(
        self, part: Part, together: Together, i: int, met: Mapping[str, Met], missing: Sequence[str]
    ) -> Choice:
        rules = self._library.rulebook.rules
        standing = sorted(
            met, key=lambda id_: (_weight(rules[id_], met[id_]), _is_explained(id_, met, rules), id_)
        )
        first = standing[0] if standing else None
        return Choice(
            part=part.id,
            name=part.name,
            fit=_fit(rules[first], met[first]) if first else "fits",
            rule=first,
            says=self._says(together, i, first, met[first], missing) if first else None,
            others=standing[1:],
            worst_valve=together.told(i, f"worst_valve_flow.{IDLE}").ratio,
            gallery_pressure=together.number(i, f"gallery_pressure.{IDLE}"),
        )

    def _says(self, together: Together, i: int, rule: str, met: Met, missing: Sequence[str]) -> str:
        if met.truth:
            return together.says(i, self._library.rulebook.rules[rule], met, self._system)
        return f"measure {', '.join(missing)} first" if missing else "what is computed allows both answers"


def _weight(rule: Rule, met: Met) -> int:
    """Stops, then what cannot be told, then cautions."""
    if met.truth:
        return 0 if rule.weighs == "stop" else 2
    return 1


def _fit(rule: Rule, met: Met) -> Fit:
    if not met.truth:
        return "cannot_tell_yet"
    return "does_not_fit" if rule.weighs == "stop" else "fits_with_findings"


def _is_explained(id_: str, met: Mapping[str, Met], rules: Mapping[str, Rule]) -> bool:
    return any(one.truth and id_ in rules[other].explains for other, one in met.items() if other != id_)
