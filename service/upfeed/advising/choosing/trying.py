"""What would come of many builds of a family: which rules they raise, and what puts one before another."""

from collections.abc import Iterator, Sequence
from math import log

from msgspec import Struct

from upfeed.advising.choosing.together import Together
from upfeed.answering.library import Library
from upfeed.flow.facts import Value
from upfeed.flow.trials import Trial, solved_together
from upfeed.judging.verdict import Verdict
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
        found |= dict(zip(members, standings_of(Together(trials, library), library), strict=True))
    return tuple(found[i] for i in range(len(tried)))


def standings_of(together: Together, library: Library) -> Iterator[Standing]:
    """How each build of an array stands; notes weigh nothing, and are not asked."""
    rules = library.rulebook.rules
    for i, met in enumerate(together.met(rule for rule in rules.values() if rule.weighs != "note")):
        fired = {id_ for id_, one in met.items() if one.truth}
        yield Standing(
            stops=frozenset(id_ for id_ in fired if rules[id_].weighs == "stop"),
            untold=frozenset(met) - fired,
            cautions=frozenset(id_ for id_ in fired if rules[id_].weighs == "caution"),
            astray=max(map(_astray, together.entries(i, f"ratio.worst_valve_flow.{IDLE}"))),
            pressure_lost=_lost(together, i),
        )


def _lost(together: Together, i: int) -> float:
    """Pressure that the gallery has less than the reference's, at the worst; none where it has more."""
    name = f"gallery_pressure.{IDLE}"
    pairs = zip(together.entries(i, f"reference.{name}"), together.entries(i, name), strict=True)
    return max(0.0, *(_number(was, 0.0) - _number(now, -_UNKNOWN) for was, now in pairs))


def _astray(ratio: Value) -> float:
    times = _number(ratio, 0.0)
    return abs(log(times)) if times > 0 else _UNKNOWN


def _number(value: Value, unknown: float) -> float:
    return value if isinstance(value, float) else unknown
