"""Passages that in some engines are none: both ends are one place, as where a bore has no bush."""

from collections.abc import Iterator

from upfeed.flow.branches import rows_by_choice
from upfeed.flow.engines import Engines
from upfeed.flow.plan import Passing, may_join
from upfeed.flow.ways import Way


def parted(engines: Engines) -> frozenset[Passing]:
    """Those that part their ends in some of the engines, as slot and passage."""
    return frozenset(
        passing
        for passing in may_join(engines.plan, engines.vocabulary.kinds)
        if _is_parted(engines, *passing)
    )


def _is_parted(engines: Engines, slot: str, passage: str) -> bool:
    return any(law != "joined" for law in _laws(engines, Way(slot, passage, None, "", "")))


def _laws(engines: Engines, way: Way) -> Iterator[str]:
    for valve in range(len(engines.plan.valves)):
        for binding, _ in rows_by_choice(engines, way, valve):
            yield binding.law
