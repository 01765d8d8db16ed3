"""Every rule put to every place of a build: what fires, what cannot be told, and what each missing value blocks."""

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from upfeed.answering.acceptance import figure, taken_on
from upfeed.answering.answer import Against, Finding, Place, Unknown
from upfeed.answering.evidence import Evidence, known_names
from upfeed.flow.survey import Survey
from upfeed.judging.judge import Judged, judge
from upfeed.judging.message import System, show
from upfeed.judging.rules import WEIGHTS, Rule, Rulebook
from upfeed.judging.terms import Reading
from upfeed.judging.truth import Truth
from upfeed.judging.verdict import Raised, consequences
from upfeed.judging.walks import Site, merged, sites
from upfeed.knowledge.records import Intent
from upfeed.knowledge.vocabulary import Attribute


class Ruling(Struct, frozen=True):
    """A rule's outcome at a site."""

    site: Site
    judged: Judged


class Rulings(Struct, frozen=True):
    """What fired and what could not be told."""

    fired: tuple[Ruling, ...]
    unknown: tuple[Ruling, ...]


def rulings(survey: Survey, rulebook: Rulebook, *, of_draws: bool = False) -> Rulings:
    """Judge all rules; the same outcome at places with like parts is one ruling, by weight, path and rule.

    Those that read what only draws tell are judged apart from the others.
    """
    rules = [rule for rule in rulebook.rules.values() if rule.of_draws == of_draws]
    judged = [Ruling(site, judge(rule, site)) for rule, site in _asked(survey, rules)]
    return Rulings(_gathered(judged, "fires"), _gathered(judged, "unknown"))


def _asked(survey: Survey, rules: Sequence[Rule]) -> Iterator[tuple[Rule, Site]]:
    """Every rule at every place of its walk, but for those that a single case plainly keeps quiet."""
    single = survey.corner_count * len(survey.limits) == 1
    known: dict[int, dict[str, Reading]] = {}
    places = {walks: sites(survey, walks) for walks in {rule.walks for rule in rules}}
    for rule in rules:
        for site in places[rule.walks]:
            readings = known.setdefault(site.valves[0], {})
            if not (single and _is_quiet(rule, site, readings)):
                yield rule, site


def _is_quiet(rule: Rule, site: Site, readings: dict[str, Reading]) -> bool:
    """Whether a rule is quiet; what it reads is added to what is known of these valves already."""
    for name in rule.reads:
        if name not in readings:
            (readings[name],) = site.read(name)
    return rule.test(readings) is False


def findings(survey: Survey, fired: Sequence[Ruling], evidence: Evidence, system: System) -> list[Finding]:
    """The findings in full; a root names the ids of the findings it explains."""
    raised = [raise_(ruling, survey) for ruling in fired]
    return [
        _finding(survey, ruling, consequences(own, raised), evidence, system)
        for ruling, own in zip(fired, raised, strict=True)
    ]


def raise_(ruling: Ruling, survey: Survey) -> Raised:
    """A finding as the verdict weighs it."""
    rule, taken = ruling.judged.rule, taken_on(survey, ruling.judged)
    accepted = taken is not None and taken.lapsed_by is None
    return Raised(ruling.judged.id, rule.id, rule.weighs, rule.explains, accepted)


def unknowns(survey: Survey, unknown: Sequence[Ruling]) -> list[Unknown]:
    """What is missing or left open, the rules that wait for it, and how to measure it."""
    waiting = sorted({ruling.judged.rule.id for ruling in unknown})
    left_open = [_open_slot(slot, waiting) for slot in survey.build.open_slots]
    if left_open:
        return left_open
    measurable = [_missing(survey, i, unknown) for i in range(len(survey.corners.missing))]
    return [*measurable, *_trapped_air(survey, unknown)]


def _trapped_air(survey: Survey, unknown: Sequence[Ruling]) -> list[Unknown]:
    """Told where the two limits of trapped air, each of one mind, contradict one another."""
    torn = sorted(
        {r.judged.rule.id for r in unknown if any(_is_torn(survey, x.truths) for x in r.judged.undecided)}
    )
    measure = (
        "nothing to measure on the bench: whether air stays trapped beyond the timed passage shows only when the"
        " engine idles hot, as oil that runs steadily at the rockers, or in pulses where none is trapped"
    )
    return [Unknown("trapped_air", "block", "all", torn, measure)] if torn else []


def _is_torn(survey: Survey, outcomes: Sequence[Truth]) -> bool:
    count = survey.corner_count
    limits = [set(outcomes[i : i + count]) for i in range(0, len(outcomes), count)]
    return all(len(limit) == 1 and None not in limit for limit in limits) and len(set().union(*limits)) > 1


def _gathered(judged: Iterable[Ruling], outcome: str) -> tuple[Ruling, ...]:
    groups: list[Ruling] = []
    for ruling in judged:
        if ruling.judged.outcome == outcome:
            _gather(groups, ruling)
    return tuple(sorted(groups, key=_order))


def _gather(groups: list[Ruling], ruling: Ruling) -> None:
    for i, other in enumerate(groups):
        alike = other.judged.rule is ruling.judged.rule
        site = merged(other.site, ruling.site, _worst(other, ruling)) if alike else None
        if site:
            groups[i] = Ruling(site, judge(ruling.judged.rule, site))
            return
    groups.append(ruling)


def _worst(other: Ruling, ruling: Ruling) -> tuple[int, ...]:
    """The valves of two rulings of a rule whose figures are the worst: of both, where they are told alike."""
    worst, one, two = ruling.judged.rule.worst, *((r.site.worst or r.site.valves) for r in (other, ruling))
    if worst is None:
        return ()
    name, shown = worst.let.name, worst.let.shown
    seen, others = ruling.judged.seen[name], other.judged.seen[name]
    sizes = [[value for value in column if isinstance(value, float)] for column in (others, seen)]
    if not all(sizes) or show(shown, others, "si") == show(shown, seen, "si"):
        return (*one, *two)
    extreme = max if worst.most else min
    return one if extreme(map(extreme, sizes)) == extreme(sizes[0]) else two


def _order(ruling: Ruling) -> tuple[int, tuple[str, ...], str, str]:
    rule = ruling.judged.rule
    return WEIGHTS.index(rule.weighs), ruling.site.walk, rule.id, ruling.site.at


def _finding(
    survey: Survey, ruling: Ruling, explains: tuple[str, ...], evidence: Evidence, system: System
) -> Finding:
    judged, site, rule = ruling.judged, ruling.site, ruling.judged.rule
    taken = taken_on(survey, judged)
    return Finding(
        id=judged.id,
        rule=rule.id,
        weighs=rule.weighs,
        place=Place(site.id, list(site.walk), site.at),
        says=judged.says(system)
        + (f" The figures are for the worst: {site.told_of}." if site.told_of else ""),
        why=rule.why,
        values=evidence.values(judged, site.last_fed),
        computed=evidence.computed(judged, site.last_fed),
        explains=list(explains),
        against=[Against(f"{i.by}: {', '.join(i.about)}", i.says) for i in _against(survey, ruling)],
        mends=[],
        figure=figure(judged, system),
        accepted=taken.accepted if taken else None,
        lapsed=taken.lapsed if taken else None,
        sources=list(rule.sources),
        holds_in=None,
    )


def _against(survey: Survey, ruling: Ruling) -> list[Intent]:
    """Intents about what the rule is about, where the build differs from the reference in it."""
    valve = ruling.site.last_fed
    here = (*survey.build.fitted, "settings")  # a rule may be about slots that not every family has
    named = {n for n in ruling.judged.rule.about if n.partition(".")[0] in here}
    about = named or set(known_names(ruling.judged.rule.reads))
    changed = {n for n in about if survey.known(n, valve) != survey.known(f"reference.{n}", valve)}
    return [intent for intent in survey.intents if changed & set(intent.about)]


def _open_slot(slot: str, waiting: list[str]) -> Unknown:
    said = f"nothing to measure: choose a {slot.replace('_', ' ')}"
    return Unknown(slot, slot, "all", waiting, said)


def _missing(survey: Survey, index: int, unknown: Sequence[Ruling]) -> Unknown:
    missing = survey.corners.missing[index]
    blocks = {ruling.judged.rule.id for ruling in unknown if _blocks(survey, index, ruling.judged)}
    how = measure(missing.attribute) + _or(missing.instead)
    return Unknown(missing.name, missing.slot, missing.at, sorted(blocks), how)


def _or(instead: tuple[str, ...]) -> str:
    names = ", ".join(name.replace("_", " ") for name in instead)
    return f"; or, for the bench flow to tell it: {names}" if names else ""


def _blocks(survey: Survey, index: int, judged: Judged) -> bool:
    """Whether a comparison turns on this value alone, all others held; when only a sample is known, assume so."""
    lines = [line for line in judged.undecided if not all(map(survey.of_parts.tells, line.values))]
    if survey.corners.sampled:
        return bool(lines)
    return any(_turns(survey, index, line.truths) for line in lines)


def _turns(survey: Survey, index: int, truths: Sequence[Truth]) -> bool:
    groups: dict[tuple[object, ...], set[Truth]] = {}
    for case, outcome in enumerate(truths):
        limit, corner = divmod(case, survey.corner_count)
        setting = survey.corners.settings[corner]
        others = (limit, *setting[:index], *setting[index + 1 :])
        groups.setdefault(others, set()).add(outcome)
    return any(len(outcomes) > 1 or None in outcomes for outcomes in groups.values())


def measure(attribute: Attribute) -> str:
    """What to measure, how and with what."""
    return f"{attribute.definition}: {attribute.how} ({attribute.tool})"
