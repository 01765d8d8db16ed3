"""What gauges show on many engines of one plan at once."""

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from upfeed.flow.circuit import circuit
from upfeed.flow.drawn import COARSE
from upfeed.flow.engines import Engines
from upfeed.flow.network import Mask
from upfeed.flow.plan import Topology
from upfeed.flow.solve import Solution, solve
from upfeed.flow.trapped_air import nothing_stored
from upfeed.knowledge.build import Build
from upfeed.knowledge.variants import Variant
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.physics.resistance import Array

GALLERY = "gallery"
"""The family's own gauge."""

PUMP = "pump"
"""A gauge between pump and filter."""


class Gauge(Struct, frozen=True):
    """Where a gauge is screwed in, `pump` or a place where the plan has pressure read, and at which operating point."""

    port: str
    point: str


class Shown(Struct, frozen=True):
    """Pressure, Pa, over the crankcase at each gauge [V, M], 0 where it is not known, and where it is.

    Under the limits of what trapped air may do: as far as that goes to either side of their middle, `torn`.
    """

    pressure: Array
    torn: Array
    known: Mask


def ports_of(topology: Topology) -> dict[str, str]:
    """The node of every place where a gauge may be screwed in, the family's own gauge first."""
    return {**topology.read_at, PUMP: topology.source}


def shown(
    build: Build,
    vocabulary: Vocabulary,
    topology: Topology,
    variants: Sequence[Variant],
    gauges: Sequence[Gauge],
) -> Shown:
    """What each gauge shows on each engine of the build's family."""
    points = tuple(build.points)
    wired = circuit(Engines(build.family.plan, vocabulary, tuple(variants), points, COARSE), topology)
    solutions = [solve(wired.network)]
    if (unstored := nothing_stored(wired)) is not None:
        solutions.append(unstored)
    node = [topology.nodes.index(ports_of(topology)[gauge.port]) for gauge in gauges]
    column = [points.index(gauge.point) for gauge in gauges]
    shape = (*wired.shape, len(topology.nodes))

    def read(values: Array | Mask) -> Array:
        return np.asarray(values.reshape(shape)[:, column, node])

    known = np.logical_and.reduce([read(_is_known(solution)) for solution in solutions])
    limits = [np.where(known, read(solution.pressure), 0.0) for solution in solutions]
    low, high = np.min(limits, axis=0), np.max(limits, axis=0)
    return Shown((low + high) / 2, (high - low) / 2, known)


def _is_known(solution: Solution) -> Mask:
    settled: Mask = solution.reached & solution.converged[:, None]
    return settled
