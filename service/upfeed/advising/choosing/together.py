"""Rules put to every build of an array at once: where each is met, and what it says there."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from msgspec import Struct

from upfeed.answering.acceptance import takes_on
from upfeed.answering.answer import Compared
from upfeed.answering.bounds import beside
from upfeed.answering.library import Library
from upfeed.answering.optional import stays_open
from upfeed.flow.facts import Column
from upfeed.flow.trials import Trials
from upfeed.judging.judge import judge
from upfeed.judging.message import System
from upfeed.judging.often import Often
from upfeed.judging.rules import Rule, Walk
from upfeed.judging.truth import Truth, agreed
from upfeed.judging.walks import stretch, valve_slots


class Met(Struct, frozen=True):
    """The first place where a rule fires, else where it cannot tell (`truth` is None): along its walk, at a valve."""

    truth: Truth
    walk: Walk
    valve: int


class Together:
    """Builds of an array before the rules."""

    def __init__(self, trials: Trials, library: Library) -> None:
        self._trials, self._library = trials, library
        self._plan = trials.reference.family.plan

    def met(self, rules: Iterable[Rule]) -> tuple[Mapping[str, Met], ...]:
        """For each build the rules that it is not quiet for, but those that stay open over what it can do without."""
        return tuple(self._that_count(i, met) for i, met in enumerate(self._met(rules)))

    def fired(self, rules: Iterable[Rule]) -> tuple[Mapping[str, Met], ...]:
        """For each build the rules that fire."""
        return tuple({id_: one for id_, one in met.items() if one.truth} for met in self._met(rules))

    def _met(self, rules: Iterable[Rule]) -> tuple[dict[str, Met], ...]:
        found: tuple[dict[str, Met], ...] = tuple({} for _ in self._trials.trials)
        for rule in rules:
            walk = stretch(self._plan, self._trials.topology, rule.walks)
            for valve, asked in self._asked(walk).items() if walk else ():
                truths = Often(rule, self._trials, valve).truths()
                for i in asked:
                    self._note(found[i], rule, i, Met(self._agreed(i, truths), walk or (), valve))
        return found

    def entries(self, i: int, name: str, valve: int = 0) -> Column:
        """What is known by a name of a build: one entry a corner case and limit."""
        column, rows, count = self._trials.known(name, valve), self._trials.rows[i], self._trials.count
        return tuple(column[first + row] for first in range(0, len(column), count) for row in rows)

    def told(self, i: int, fact: str) -> Compared:
        """A fact of a build beside the reference's, as an answer tells it; nothing where nobody solved it."""
        column, reference = (
            self.entries(i, name) if self._trials.limits else (None,) for name in (fact, f"reference.{fact}")
        )
        corners = len(self._trials.trials[i].corners.variants)
        return beside(column, reference[0], compared=True, corners=corners)

    def number(self, i: int, fact: str) -> float | None:
        """What a fact of a build comes to; nothing where that is not known."""
        value = self.told(i, fact).build
        return value if isinstance(value, float) else None

    def says(self, i: int, rule: Rule, met: Met, system: System) -> str:
        """A rule's sentence about a build, with the figures of the place where it is met."""
        return judge(rule, _Place(self, i, met)).says(system)

    def _asked(self, walk: Walk) -> dict[int, list[int]]:
        """The builds asked at each valve that speaks for others."""
        return self._by_valve if valve_slots(self._plan, walk) else self._once

    @cached_property
    def _by_valve(self) -> dict[int, list[int]]:
        asked: dict[int, list[int]] = {}
        for i, trial in enumerate(self._trials.trials):
            for group in trial.like_valves:
                asked.setdefault(self._plan.last_fed(group), []).append(i)
        return asked

    @cached_property
    def _once(self) -> dict[int, list[int]]:
        everywhere = self._plan.last_fed(tuple(range(len(self._plan.valves))))
        return {everywhere: list(range(len(self._trials.trials)))}

    def _agreed(self, i: int, truths: Sequence[Truth]) -> Truth:
        rows = self._trials.rows[i]
        return agreed(truths[rows.start : rows.stop])

    def _note(self, found: dict[str, Met], rule: Rule, i: int, met: Met) -> None:
        if met.truth is False or (rule.id in found and (found[rule.id].truth or not met.truth)):
            return
        if not (met.truth and takes_on(self._trials.trials[i].build.sheet, rule.id, met.walk)):
            found[rule.id] = met

    def _that_count(self, i: int, met: dict[str, Met]) -> dict[str, Met]:
        return {id_: one for id_, one in met.items() if one.truth or not self._stays_open(i, id_)}

    def _stays_open(self, i: int, rule: str) -> bool:
        build, library = self._trials.trials[i].build, self._library
        return stays_open(library.rulebook.rules[rule], build, self._trials.reference, library.vocabulary)


class _Place(Struct, frozen=True):
    """Where a rule is met in a build of an array, as the judge looks at a place."""

    together: Together
    i: int
    met: Met

    @property
    def id(self) -> str:
        return "-".join(self.met.walk)

    @property
    def walk(self) -> tuple[str, ...]:
        return self.met.walk

    @property
    def at(self) -> str:
        return "all"

    def read(self, name: str) -> Column:
        return self.together.entries(self.i, name, self.met.valve)
