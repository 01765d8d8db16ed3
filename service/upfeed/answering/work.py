"""How much there is to solve for an answer, told before anything is solved."""

from msgspec import Struct

from upfeed.answering.library import Library
from upfeed.knowledge.build import reference_build, resolve
from upfeed.knowledge.likevalves import like_valves
from upfeed.knowledge.records import BuildSheet
from upfeed.knowledge.variants import corners


class Work(Struct, frozen=True):
    """Engines that are solved without draws, draws of build and reference, operating points, valves told apart."""

    engines: int
    draws: int
    points: int
    valves: int

    @property
    def states(self) -> int:
        """Solved states: one engine at one point, for one kind of valve."""
        return (self.engines + self.draws) * self.points * self.valves

    def samples_within(self, most: int) -> int | None:
        """How many draws of the build keep within so many states; None where it goes beyond without any."""
        left = most // (self.points * self.valves) - self.engines
        return None if left < 0 else max(0, (left - 1) // 2)


def work(sheet: BuildSheet, library: Library, samples: int) -> Work:
    """The work of a check with so many draws. Raises DataFaults for a build that can't be.

    Corner cases and the reference are solved; then as many draws of both, and the reference as given beside them,
    unless something is missing. Valves with the same parts are one, but along a gallery each has a place of its own.
    """
    build = resolve(sheet, library.knowledge, library.vocabulary)
    reference = reference_build(build.family, library.knowledge, library.vocabulary)
    cases = corners(build, library.vocabulary)
    is_drawn = samples and not cases.missing
    plan = build.family.plan
    return Work(
        engines=len(cases.variants) + 1,
        draws=2 * samples + 1 if is_drawn else 0,
        points=len(build.points),
        valves=len(plan.valves if plan.stations else like_valves(build, reference)),
    )
