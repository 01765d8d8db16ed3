"""What flows beside a branch's law: oil that turning journals draw, and the spring-loaded way round a filter."""

import numpy as np

from upfeed.flow.branches import Branch
from upfeed.flow.engines import Engines
from upfeed.flow.ways import Way
from upfeed.knowledge.vocabulary import Passage
from upfeed.physics.resistance import Array
from upfeed.physics.sideflow import drawn_flow


def drawn_through(engines: Engines, branch: Branch) -> Array:
    """Oil, m3/s, that the journals along a branch draw through one of it: [V, P]."""
    drawn = np.zeros((len(engines.variants), len(engines.points)))
    for way in branch.chain.ways:
        takes = _passage(engines, way).draws
        if takes:
            values = {argument: _value(engines, branch, way, term) for argument, term in takes.items()}
            speed = values.pop("turns") * engines.at_points("speed")[:, :, 0]
            drawn = drawn + drawn_flow(**values, speed=speed)
    return drawn


def bypass(engines: Engines, branch: Branch) -> tuple[Array, Array]:
    """Pressure, Pa, at which a way beside a branch begins to open (infinite: none), and its slope, m3/s/Pa: [V, 1]."""
    for way in branch.chain.ways:
        takes = _passage(engines, way).bypass
        if takes:
            opens, slope = (_value(engines, branch, way, takes[name]) for name in ("opens", "slope"))
            return np.asarray(opens), np.asarray(slope)
    shape = (len(engines.variants), 1)
    return np.full(shape, np.inf), np.zeros(shape)


def _passage(engines: Engines, way: Way) -> Passage:
    return engines.kind(way.slot).passages[way.passage]


def _value(engines: Engines, branch: Branch, way: Way, term: str | float) -> Array | float:
    if isinstance(term, float):
        return term
    slot, _, name = term.rpartition(".")
    return engines.numbers(slot or way.slot, max(branch.make[1], 0), name)[:, :, 0]
