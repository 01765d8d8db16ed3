"""The pressure ladders of an answer: how the pressure falls to each group of like valves, and down from there."""

from collections.abc import Iterator

from upfeed.answering.answer import Compared, Rung
from upfeed.answering.bounds import beside
from upfeed.flow.bands import Pairs
from upfeed.flow.drawn import Drawn
from upfeed.flow.facts import Column, Facts, column
from upfeed.flow.ladder import Rung as Step
from upfeed.flow.network import Mask
from upfeed.flow.survey import Survey
from upfeed.flow.widening import Widening
from upfeed.knowledge.variants import valve_names
from upfeed.physics.resistance import Array


def ladders(surveyed: Survey, drawn: Drawn | None) -> Iterator[Rung]:
    """The pressure ladder of each group of like valves at every point, bounded by the draws where there are any."""
    if surveyed.facts is None:
        return
    # Corner cases of what is unknown bound flows, not how steeply these rise.
    known = surveyed.corner_count == 1
    widening = Widening(surveyed.facts.circuit, surveyed.facts.solution) if known else None
    for valves in surveyed.like_valves:
        at, last_fed = valve_names(surveyed.build, valves), surveyed.build.family.plan.last_fed(valves)
        steps = surveyed.facts.rungs_on(last_fed)
        drawn_steps = drawn.limits[0].rungs_on(last_fed) if drawn else (None,) * len(steps)
        pulls = [widening.exponent(step.slot, step.passage, last_fed) if widening else None for step in steps]
        for i, point in enumerate(surveyed.build.points):
            for step, drawn_step, pull in zip(steps, drawn_steps, pulls, strict=True):
                pressure, share = _columns(surveyed.facts, step, i)
                pairs = _pairs(drawn, drawn_step, i) if drawn and drawn_step else (None, None)
                yield Rung(
                    place=f"{step.slot}.{step.passage}",
                    at=at,
                    point=point,
                    pressure=beside(pressure[:-1], pressure[-1], compared=True, pairs=pairs[0]),
                    share_of_drop=beside(share[:-1], share[-1], compared=True, pairs=pairs[1]),
                    flow_per_diameter=_pull(surveyed.facts, step, pull, i),
                )


def _pull(facts: Facts, step: Step, exponent: tuple[Array, Mask] | None, point: int) -> Compared:
    """How the top-end flow follows a step's diameter, in the build and in the reference."""
    if exponent is None:
        return Compared(build=None, reference=None, ratio=None, band=None, ratio_band=None)
    value, known = exponent
    of = column(value[:, point], known[:, point] & step.flows[:, point] & facts.known(point))
    return beside(of[:-1], of[-1], compared=False)


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
