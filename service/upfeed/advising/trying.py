"""What would come of many builds of a family: which rules they raise, and what puts one before another."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from math import log

from msgspec import Struct

from upfeed.answering.acceptance import takes_on
from upfeed.answering.library import Library
from upfeed.answering.optional import open_over_optional
from upfeed.flow.facts import Column, Value
from upfeed.flow.trials import Trial, Trials, solved_together
from upfeed.judging.often import Often
from upfeed.judging.rules import Rule, Walk
from upfeed.judging.truth import Truth, agreed
from upfeed.judging.verdict import Verdict
from upfeed.judging.walks import stretch, valve_slots
from upfeed.knowledge.build import Build

IDLE = "hot_idle"
"""The point at which a pump delivers least, so that pressure and shares are told there."""

_FELT = 0.01
"""Of the worst valve's oil: a hundredth is far within what any size is known to."""

_READ = 1000.0
"""Pa: a tenth of what the needle of a gauge of class 1.6 up to 100 psi may be off (EN 837-1)."""

_UNKNOWN = 1e9
"""Stands for a figure that is not known, behind all that are."""


class Standing(Struct, frozen=True):
    """The rules that a build raises or leaves open, each once wherever it does, and its figures at hot idle.

    `astray` is how far the worst valve's oil is from the design's, |ln ratio|; `pressure_lost` what the gallery has
    less than the reference, Pa; both at the worst that is possible, beyond all others where they are not known.
    """

    stops: frozenset[str]
    untold: frozenset[str]
    cautions: frozenset[str]
    astray: float
    pressure_lost: float

    @property
    def burden(self) -> tuple[int, int, int]:
        """What weighs on a build, the heaviest first: fewer is better."""
        return len(self.stops), len(self.untold), len(self.cautions)

    @property
    def rank(self) -> tuple[tuple[int, int, int], float, float]:
        """By which builds are put in order, the best first; what nobody would feel or read is no difference."""
        return self.burden, round(self.astray / _FELT), round(self.pressure_lost / _READ)

    @property
    def raised(self) -> frozenset[str]:
        """Stops, cautions and what cannot be told."""
        return self.stops | self.untold | self.cautions

    @property
    def verdict(self) -> Verdict:
        """What these come to."""
        if self.stops:
            return "stop"
        if self.untold:
            return "cannot_tell_yet"
        return "go_with_care" if self.cautions else "go"


def standings(tried: Sequence[Trial], reference: Build, library: Library) -> tuple[Standing, ...]:
    """Judge builds of one family, in the order given. Raises ValueError for one that cannot be computed."""
    found: dict[int, Standing] = {}
    for members, trials in solved_together(tried, reference, library.vocabulary, library.topologies):
        found |= dict(zip(members, _Judging(trials, library).standings(), strict=True))
    return tuple(found[i] for i in range(len(tried)))


class _Judging:
    """Every rule put to every build of an array."""

    def __init__(self, trials: Trials, library: Library) -> None:
        self._trials, self._library = trials, library
        self._plan = trials.reference.family.plan
        self._optional: dict[int, frozenset[str]] = {}

    def standings(self) -> Iterator[Standing]:
        """Build by build; notes weigh nothing, and are not asked."""
        weighing = [rule for rule in self._library.rulebook.rules.values() if rule.weighs != "note"]
        truths = {rule.id: self._of_rule(rule) for rule in weighing}
        for i in range(len(self._trials.trials)):
            yield self._standing(i, {rule: of_each[i] for rule, of_each in truths.items() if i in of_each})

    def _of_rule(self, rule: Rule) -> Mapping[int, Truth]:
        """What comes of a rule for each build that it is not quiet for: true where it fires at any place."""
        walk = stretch(self._plan, self._trials.topology, rule.walks)
        found: dict[int, Truth] = {}
        if walk is None:
            return found
        for valve, asked in self._asked(walk).items():
            truths = Often(rule, self._trials, valve).truths()
            for i in asked:
                truth = self._truth(i, rule, walk, truths)
                if truth is not False:
                    found[i] = found.get(i) or truth
        return found

    def _asked(self, walk: Walk) -> dict[int, list[int]]:
        """The builds asked at each valve that speaks for others."""
        asked: dict[int, list[int]] = {}
        for i, trial in enumerate(self._trials.trials):
            whole = (tuple(range(len(self._plan.valves))),)
            for group in trial.like_valves if valve_slots(self._plan, walk) else whole:
                asked.setdefault(self._plan.last_fed(group), []).append(i)
        return asked

    def _truth(self, i: int, rule: Rule, walk: Walk, truths: Sequence[Truth]) -> Truth:
        rows = self._trials.rows[i]
        truth = agreed(truths[rows.start : rows.stop])
        if truth and takes_on(self._trials.trials[i].build.sheet, rule.id, walk):
            return False
        return truth

    def _standing(self, i: int, truths: Mapping[str, Truth]) -> Standing:
        rules = self._library.rulebook.rules
        untold = frozenset(id_ for id_, truth in truths.items() if truth is None)
        fired = frozenset(id_ for id_, truth in truths.items() if truth)
        return Standing(
            stops=frozenset(id_ for id_ in fired if rules[id_].weighs == "stop"),
            untold=untold - self._open(i) if untold else untold,
            cautions=frozenset(id_ for id_ in fired if rules[id_].weighs == "caution"),
            astray=self._worst(i, f"ratio.worst_valve_flow.{IDLE}", _astray),
            pressure_lost=self._lost(i),
        )

    def _open(self, i: int) -> frozenset[str]:
        """Rules that stay open over what a check can do without."""
        if i not in self._optional:
            build = self._trials.trials[i].build
            self._optional[i] = open_over_optional(build, self._trials.reference, self._library)
        return self._optional[i]

    def _lost(self, i: int) -> float:
        """Pressure that the gallery has less than the reference's, at the worst; none where it has more."""
        name = f"gallery_pressure.{IDLE}"
        designed = self._trials.known(f"reference.{name}", 0)
        lost = [
            _number(was) - _number(now, -_UNKNOWN)
            for was, now in zip(
                self._entries(i, designed), self._entries(i, self._trials.known(name, 0)), strict=True
            )
        ]
        return max(0.0, *lost)

    def _worst(self, i: int, name: str, of: Callable[[float], float]) -> float:
        return max(of(_number(value)) for value in self._entries(i, self._trials.known(name, 0)))

    def _entries(self, i: int, column: Column) -> Column:
        """What a column holds of a build under every limit."""
        rows, count = self._trials.rows[i], self._trials.count
        return tuple(column[first + row] for first in range(0, len(column), count) for row in rows)


def _astray(ratio: float) -> float:
    return abs(log(ratio)) if ratio > 0 else _UNKNOWN


def _number(value: Value, unknown: float = 0.0) -> float:
    return value if isinstance(value, float) else unknown
