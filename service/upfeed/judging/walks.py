"""The places a rule is asked at: its stretch of the oil's path, at each group of valves with like parts."""

from msgspec import Struct

from upfeed.flow.facts import Column
from upfeed.flow.filling import paths_down
from upfeed.flow.plan import Topology
from upfeed.flow.survey import Survey
from upfeed.judging.rules import Walk
from upfeed.judging.ruleterms import CAMSHAFT, GALLERY
from upfeed.knowledge.likevalves import parts_at
from upfeed.knowledge.records import Plan
from upfeed.knowledge.variants import valve_names


class Site(Struct, frozen=True):
    """One place: the stretch as slots (and `gallery`), the valves meant, and how they are called.

    `worst` are those of them whose figures are told; none where any of them would do.
    """

    survey: Survey
    walk: Walk
    valves: tuple[int, ...]
    at: str
    worst: tuple[int, ...] = ()

    @property
    def id(self) -> str:
        """Short and stable: part of every finding's id."""
        return f"{'-'.join(self.walk)}/{self.at.replace(', ', '+').replace(' ', '-')}"

    @property
    def last_fed(self) -> int:
        """The valve that speaks for all: the one oil gets to last along its gallery, of the worst."""
        return self.survey.build.family.plan.last_fed(self.worst or self.valves)

    @property
    def told_of(self) -> str:
        """Which valves' figures are told, in words; nothing where any would do."""
        return valve_names(self.survey.build, self.worst) if self.worst else ""

    def read(self, name: str) -> Column:
        """A value or fact by name: one entry a corner case.

        Where these bound nothing, only what all of them agree on is known.
        """
        column = self.survey.known(name, self.last_fed)
        known = self.survey.corners.bounding or len(set(column)) == 1
        return column if known else (None,) * len(column)


def sites(survey: Survey, walks: tuple[Walk, ...]) -> tuple[Site, ...]:
    """Every place of the first of these walks that the family's plan has; none where it has none of them.

    Valves whose parts differ are places of their own, and so are intake and exhaust, whose lobes may.
    """
    plan = survey.build.family.plan
    walk = stretch(plan, survey.topology, walks)
    if walk is None:
        return ()
    if not valve_slots(plan, walk):
        return (Site(survey, walk, tuple(range(len(plan.valves))), "all"),)
    return tuple(
        Site(survey, walk, valves, valve_names(survey.build, valves)) for valves in survey.like_valves
    )


def merged(first: Site, second: Site, worst: tuple[int, ...] = ()) -> Site | None:
    """One place out of two whose parts along the walk are the same; None where they differ.

    `worst` are the valves whose figures are told of it.
    """
    slots = valve_slots(first.survey.build.family.plan, first.walk)
    one, other = (
        tuple(parts_at(s.survey.build, s.survey.reference, slot, s.valves[0]) for slot in slots)
        for s in (first, second)
    )
    if first.walk != second.walk or one != other:
        return None
    valves = tuple(sorted((*first.valves, *second.valves)))
    told = () if set(worst) == set(valves) else tuple(sorted(worst))
    return Site(first.survey, first.walk, valves, valve_names(first.survey.build, valves), told)


def stretch(plan: Plan, topology: Topology, walks: tuple[Walk, ...]) -> Walk | None:
    """The first of these walks that a plan has; None where it has none of them.

    A single stretch instead of several raises TypeError: its words would pass for stretches that no family has.
    """
    if any(isinstance(walk, str) for walk in walks):
        raise TypeError(f"one stretch, {' > '.join(map(str, walks))}, where several are looked through")
    return next((walk for walk in walks if _leads(plan, topology, walk)), None)


def valve_slots(plan: Plan, walk: Walk) -> list[str]:
    """The slots of a walk that every valve has one of; none where the walk is asked once an engine."""
    return [word for word in walk if word in plan.slots and plan.slots[word].each == "valve"]


def _leads(plan: Plan, topology: Topology, walk: Walk) -> bool:
    """Whether oil passes the walk's slots in this order: from the gallery up to the rocker, or on down from there."""
    if any(word not in plan.slots and word != GALLERY for word in walk):
        return False
    if walk[0] == CAMSHAFT:
        return True
    wanted, valve = valve_slots(plan, walk), plan.valves[0]
    down = () if walk[0] == GALLERY else paths_down(topology, valve)
    for path in (*topology.paths_to(valve), *down):
        passed = dict.fromkeys(way.slot for chain in path for way in chain.ways)
        if [slot for slot in passed if slot in wanted] == wanted:
            return True
    return False
