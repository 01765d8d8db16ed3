"""The pressure ladders of an answer: how the pressure falls to each group of like valves, and down from there."""

from collections.abc import Iterator

from upfeed.answering.answer import Rung
from upfeed.answering.bounds import beside
from upfeed.flow.bands import Pairs
from upfeed.flow.drawn import Drawn
from upfeed.flow.facts import Column, Facts, column
from upfeed.flow.ladder import Rung as Step
from upfeed.flow.survey import Survey
from upfeed.knowledge.variants import valve_names


def ladders(surveyed: Survey, drawn: Drawn | None) -> Iterator[Rung]:
    """The pressure ladder of each group of like valves at every point, bounded by the draws where there are any."""
    if surveyed.facts is None:
        return
    for valves in surveyed.like_valves:
        at, last_fed = valve_names(surveyed.build, valves), surveyed.build.family.plan.last_fed(valves)
        steps = surveyed.facts.rungs_on(last_fed)
        drawn_steps = drawn.limits[0].rungs_on(last_fed) if drawn else (None,) * len(steps)
        for i, point in enumerate(surveyed.build.points):
            for step, drawn_step in zip(steps, drawn_steps, strict=True):
                pressure, share = _columns(surveyed.facts, step, i)
                pairs = _pairs(drawn, drawn_step, i) if drawn and drawn_step else (None, None)
                yield Rung(
                    place=f"{step.slot}.{step.passage}",
                    at=at,
                    point=point,
                    pressure=beside(pressure[:-1], pressure[-1], compared=True, pairs=pairs[0]),
                    share_of_drop=beside(share[:-1], share[-1], compared=True, pairs=pairs[1]),
                )


def _columns(facts: Facts, step: Step, point: int) -> tuple[Column, Column]:
    """Pressure ahead of a step and its share of the drop, variant by variant."""
    ahead = column(step.ahead[:, point], facts.known(point) & step.reached[:, point])
    shares, known = facts.shares(step)
    return ahead, column(shares[:, point], known[:, point])


def _pairs(drawn: Drawn, step: Step, point: int) -> tuple[Pairs, Pairs]:
    ahead, share = _columns(drawn.limits[0], step, point)
    return _paired(drawn.count, ahead), _paired(drawn.count, share)


def _paired(count: int, of: Column) -> Pairs:
    """Draws of the build come before those of the reference."""
    return Pairs(count, of[:count], of[count : 2 * count])
