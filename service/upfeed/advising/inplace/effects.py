"""What parts do, each as the only change in a family: all of one family computed side by side."""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from upfeed.advising.choosing.together import Together
from upfeed.advising.choosing.trying import IDLE, standings_of
from upfeed.advising.inplace.alone import alone
from upfeed.answering.check import check
from upfeed.answering.library import Library
from upfeed.flow.trials import Trial, solved_together, trial
from upfeed.judging.verdict import Verdict
from upfeed.knowledge.build import reference_build, resolve
from upfeed.knowledge.records import Family, Part


class Effect(Struct, frozen=True, forbid_unknown_fields=True):
    """What a part does as the only change in a family: verdict, what fires, and hot idle beside the reference's.

    `rules` are those that fire, the heaviest first. `pressure` of the gallery in Pa; the ratios are over the
    reference's; None where it is not known.
    """

    part: str
    verdict: Verdict
    rules: tuple[str, ...]
    top_end: float | None
    worst_valve: float | None
    pressure: float | None


class InFamily(Struct, frozen=True, forbid_unknown_fields=True):
    """Both parts in one family; `times` is the worst valve's oil with the second over that with the first."""

    family: str
    first: Effect
    second: Effect
    times: float | None


Effects = Mapping[str, Effect]
"""By part."""


def beside(family: Family, first: Effect, second: Effect) -> InFamily:
    """Two effects side by side."""
    was, now = first.worst_valve, second.worst_valve
    return InFamily(family.id, first, second, now / was if was and now is not None else None)


def effects(library: Library, family: Family, parts: Sequence[Part]) -> Effects:
    """What each of the parts does in a family that has a slot for it. Raises DataFaults for one that can't be."""
    reference = reference_build(family, library.knowledge, library.vocabulary)
    tried: dict[str, Trial] = {}
    for part in parts:
        build = resolve(alone(library, family, part), library.knowledge, library.vocabulary)
        tried[part.id] = trial(build, reference, library.vocabulary)
    whole = {id_: one for id_, one in tried.items() if not one.corners.tables}
    names, found = tuple(whole), dict[str, Effect]()
    for members, trials in solved_together(
        tuple(whole.values()), reference, library.vocabulary, library.topologies, library.knowledge
    ):
        together = Together(trials, library)
        found |= _effects([names[i] for i in members], together, library)
    found |= {part.id: _untold(library, family, part) for part in parts if part.id not in whole}
    return found


def _effects(names: Sequence[str], together: Together, library: Library) -> dict[str, Effect]:
    rules = library.rulebook.rules
    notes = together.fired(rule for rule in rules.values() if rule.weighs == "note" and not rule.of_draws)
    told = zip(names, standings_of(together, library), notes, strict=True)
    return {
        name: Effect(
            name,
            standing.verdict,
            (*sorted(standing.stops), *sorted(standing.cautions), *sorted(noted)),
            top_end=together.told(i, f"top_end_flow.{IDLE}").ratio,
            worst_valve=together.told(i, f"worst_valve_flow.{IDLE}").ratio,
            pressure=together.number(i, f"gallery_pressure.{IDLE}"),
        )
        for i, (name, standing, noted) in enumerate(told)
    }


def _untold(library: Library, family: Family, part: Part) -> Effect:
    """Of a part that lacks a table, without which nothing is computed, what a check of it says."""
    answer = check(alone(library, family, part), library)
    rules = dict.fromkeys(finding.rule for finding in answer.findings)
    return Effect(part.id, answer.verdict, tuple(rules), None, None, None)
