"""How sure a check is: how often each finding and the verdict hold within the spread of the values."""

from collections import Counter
from collections.abc import Collection, Iterator, Sequence

from msgspec import Struct

from upfeed.answering.acceptance import in_time
from upfeed.answering.answer import HangsOn, HowSure, NearMiss, VerdictShare
from upfeed.answering.findings import Rulings, raise_
from upfeed.answering.hanging import Hanging
from upfeed.flow.drawn import Drawn
from upfeed.flow.survey import Survey
from upfeed.judging.often import Often, Truths
from upfeed.judging.rules import WEIGHTS, Rule, Rulebook
from upfeed.judging.verdict import Raised, Untold, Verdict, decide
from upfeed.judging.walks import Site, sites
from upfeed.knowledge.variants import valve_names

NEAR = 0.05
"""A quiet rule that fires in more than this share of the draws is a near miss."""

_MOST_NEAR_MISSES = 5


class Put(Struct, frozen=True):
    """A rule put to a site in every draw; `within` is the finding it is part of, as the values are given."""

    rule: Rule
    site: Site
    often: Often
    truths: Truths
    within: str | None
    accepted: bool

    @property
    def fires_in(self) -> float:
        """The share of draws in which it fires."""
        return _share(self.truths)


class Sureness(Struct, frozen=True):
    """What came of every rule in every draw; only those that do not always stay quiet."""

    survey: Survey
    count: int
    puts: tuple[Put, ...]
    verdicts: tuple[Verdict, ...]

    def holds_in(self, finding: str) -> float:
        """The share of draws in which a finding still fires, at any of its valves."""
        return _share(_any_of([put.truths for put in self.puts if put.within == finding]))

    def how_sure(self, verdict: Verdict, hanging: Hanging) -> HowSure:
        """As the answer says it."""
        shares = {name: round(n / self.count, 3) for name, n in Counter(self.verdicts).most_common()}
        return HowSure(
            samples=self.count,
            verdict_holds_in=shares.get(verdict, 0.0),
            verdicts=[VerdictShare(name, share) for name, share in shares.items()],
            near_misses=list(self._near_misses()),
            hangs_on=HangsOn(hanging.rule, hanging.line) if hanging.line else None,
        )

    def _near_misses(self) -> Iterator[NearMiss]:
        """Cautions and stops that are quiet as the values are given, the heaviest and nearest first."""
        quiet: dict[str, list[Put]] = {}
        for put in self.puts:
            if put.within is None and put.rule.weighs != "note" and not put.accepted:
                quiet.setdefault(put.rule.id, []).append(put)
        near = [(_share(_any_of([put.truths for put in puts])), puts) for puts in quiet.values()]
        near = sorted(
            (pair for pair in near if pair[0] > NEAR),
            key=lambda pair: (WEIGHTS.index(pair[1][0].rule.weighs), -pair[0], pair[1][0].rule.id),
        )
        for share, puts in near[:_MOST_NEAR_MISSES]:
            valves = sorted({valve for put in puts if put.fires_in for valve in put.site.valves})
            at = valve_names(self.survey.build, valves)
            yield NearMiss(puts[0].rule.id, puts[0].rule.weighs, at, share)


def sureness(
    survey: Survey, drawn: Drawn, rulebook: Rulebook, ruled: Rulings, optional: Collection[str] = ()
) -> Sureness:
    """Put every rule to every site of its walk in every draw.

    Rules that are `optional` hold no verdict up where they cannot tell.
    """
    asked = (
        (rule, site, Often(rule, drawn, site.last_fed))
        for rule in rulebook.rules.values()
        if not rule.of_draws
        for site in sites(survey, rule.walks)
    )
    told = ((rule, site, often, often.truths()) for rule, site, often in asked)
    puts = tuple(
        _put(survey, ruled, rule, site, often, truths)
        for rule, site, often, truths in told
        if any(truth is not False for truth in truths)
    )
    return Sureness(survey, drawn.count, puts, tuple(_verdict(puts, i, optional) for i in range(drawn.count)))


def _put(survey: Survey, ruled: Rulings, rule: Rule, site: Site, often: Often, truths: Truths) -> Put:
    within = next(
        (r for r in ruled.fired if r.judged.rule is rule and set(site.valves) <= set(r.site.valves)), None
    )
    if within is None:
        return Put(rule, site, often, truths, None, in_time(survey, f"{rule.id}@{site.id}"))
    return Put(rule, site, often, truths, within.judged.id, raise_(within, survey).accepted)


def _verdict(puts: Sequence[Put], draw: int, optional: Collection[str]) -> Verdict:
    fired = [
        Raised(f"{put.rule.id}@{put.site.id}", put.rule.id, put.rule.weighs, accepted=put.accepted)
        for put in puts
        if put.truths[draw]
    ]
    untold = [
        Untold(put.rule.id, put.rule.weighs)
        for put in puts
        if put.truths[draw] is None and put.rule.id not in optional
    ]
    return decide(fired, untold).verdict


def _any_of(all_truths: Sequence[Truths]) -> Truths:
    return tuple(any(truths) for truths in zip(*all_truths, strict=True))


def _share(truths: Truths) -> float:
    return round(sum(truth is True for truth in truths) / len(truths), 3) if truths else 0.0
