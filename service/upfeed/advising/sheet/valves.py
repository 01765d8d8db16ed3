"""One row a valve: the band through the gallery's hole, preload and what sets it, and what the rocker lets by."""

from collections.abc import Sequence

from upfeed.advising.sheet.asking import Bench
from upfeed.advising.sheet.benchsheet import Number, Sighted, Task, ValveRow
from upfeed.advising.sheet.figures import Teller
from upfeed.advising.sheet.primingcups import CUP, Cups
from upfeed.advising.sheet.thread import turns_at
from upfeed.answering.evidence import Evidence
from upfeed.flow.facts import Column
from upfeed.flow.lobes import lobes_of
from upfeed.flow.survey import Survey
from upfeed.flow.turns import base_circle_radius
from upfeed.knowledge.namedvalves import named_valves
from upfeed.knowledge.vocabulary import Vocabulary

NO_BAND = "this lifter has no band, or the heights of band and gallery are not all known"


class Rows:
    """The valves of a surveyed build."""

    def __init__(
        self, survey: Survey, evidence: Evidence, vocabulary: Vocabulary, cups: Cups, tell: Teller
    ) -> None:
        self._survey, self._evidence, self._cups = survey, evidence, cups
        self._vocabulary, self._tell = vocabulary, tell
        self._idle = next(iter(survey.build.points))

    def told(self, tasks: Sequence[Task], bench: Bench) -> list[ValveRow]:
        """Every valve in the plan's order."""
        return [self._row(valve, tasks, bench) for valve in range(len(self._survey.build.family.plan.valves))]

    def _row(self, valve: int, tasks: Sequence[Task], bench: Bench) -> ValveRow:
        plan = self._survey.build.family.plan
        own = [task.number for task in tasks if self._is_asked(task, valve)]
        sighted = self._sighted(valve)
        cylinder, role = plan.valves[valve]
        cold = self._evidence.fact("cold_preload", valve)
        return ValveRow(
            valve=f"{cylinder} {role}",
            tasks=own,
            sighted=sighted,
            sighted_lacks=None if sighted else NO_BAND,
            cold_preload=self._tell.fact(cold),
            turns=turns_at(self._survey, valve, bench, self._tell),
            pushrod_fitted=self._evidence.quantity("pushrod.length", valve)
            if "pushrod" in plan.slots
            else None,
            pushrod_needed=self._tell.fact(
                self._evidence.fact(f"required_pushrod_length.{self._idle}", valve)
            ),
            holes_meet=self._tell.fact(self._evidence.fact("rocker_open_share", valve)),
            seconds=CUP,
            caught=self._in_cup(valve),
            primed=self._cups.of(valve),
        )

    def _is_asked(self, task: Task, valve: int) -> bool:
        """Whether a task is one of this valve's: the engine's own are done once."""
        plan = self._survey.build.family.plan
        slot = plan.slots.get(task.name.partition(".")[0])
        return slot is not None and slot.each == "valve" and plan.valves[valve] in named_valves(plan, task.at)

    def _in_cup(self, valve: int) -> Number:
        flow = self._evidence.fact(f"valve_flow.{self._idle}", valve)
        value = flow.build * CUP if isinstance(flow.build, float) else None
        band = (flow.band[0] * CUP, flow.band[1] * CUP) if flow.band else None
        lacks = f"the oil at this rocker is not known: {self._vocabulary.facts['valve_flow'].definition}"
        return self._tell.number(f"caught.{self._idle}", value, "volume", "mL", band, lacks)

    def _sighted(self, valve: int) -> list[Sighted]:
        """At the base circle and at full lift, from heights over the middle of the hole in the bore."""
        survey = self._survey
        heights = [self._known(name, valve) for name in ("lifter.band_from", "lifter.band_to", *self._hole())]
        if survey.facts is None or None in heights:
            return []
        lower, upper, middle, diameter = (height for height in heights if height is not None)
        engines = survey.facts.circuit.engines
        radius = _agreed(base_circle_radius(engines)[:-1, 0, 0].tolist())
        full = _agreed(lobes_of(engines, valve).lift()[:-1, 0, 0].tolist())
        if radius is None or full is None:
            return []
        edges = (lower + radius - middle, upper + radius - middle)
        return [self._at(lift, edges, diameter) for lift in (0.0, full)]

    def _at(self, lift: float, edges: tuple[float, float], diameter: float) -> Sighted:
        lower, upper = edges[0] + lift, edges[1] + lift
        open_ = max(min(upper, diameter / 2) - max(lower, -diameter / 2), 0.0)
        named = {"lift": lift, "lower_edge": lower, "upper_edge": upper, "open_height": open_}
        return Sighted(
            **{name: self._tell.number(name, value, "length", "in") for name, value in named.items()}
        )

    def _hole(self) -> tuple[str, str]:
        """What the band meets in its bore: the gallery's own hole, or that of a bush."""
        instead, fitted = self._vocabulary.kinds["block"].instead or {}, self._survey.build.fitted
        block = fitted["block"][0] if "block" in fitted else None
        names = []
        for name in ("window_height", "window_diameter"):
            by = block.has.get(instead[name].by) if block else None
            names.append(f"block.{instead[name].of[str(by.magnitude)]}" if by else "block.lifter_bores")
        return names[0], names[1]

    def _known(self, name: str, valve: int) -> float | None:
        if name.partition(".")[0] not in self._survey.build.fitted:
            return None
        return _agreed(self._survey.known(name, valve))


def _agreed(column: Column | list[float]) -> float | None:
    first = column[0]
    return first if isinstance(first, float) and all(value == first for value in column) else None
