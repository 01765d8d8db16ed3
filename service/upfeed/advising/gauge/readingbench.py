"""A build at the points of readings, and what gauges on it show."""

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from upfeed.advising.gauge.readingpoints import at_readings
from upfeed.advising.gauge.readingtext import GaugeReading
from upfeed.answering.library import Library
from upfeed.flow.engines import Engines
from upfeed.flow.gauges import GALLERY, PUMP, Gauge, Shown, shown
from upfeed.flow.limits import limits
from upfeed.flow.parted import parted
from upfeed.flow.plan import Topology
from upfeed.knowledge.build import Build
from upfeed.knowledge.variants import Variant, variant
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.physics.resistance import Array
from upfeed.reading.faults import DataFaults, Fault, Origin


class Bench(Struct, frozen=True):
    """A build at the points of readings, and the gauges that stand on it."""

    build: Build
    gauges: tuple[Gauge, ...]
    topology: Topology
    vocabulary: Vocabulary

    def solved(self, variants: Sequence[Variant]) -> Shown:
        """What the gauges show on engines."""
        return shown(self.build, self.vocabulary, self.topology, variants, self.gauges)

    def filter_drops(self) -> Array:
        """What is expected between pump and main gallery at each reading, Pa [M]."""
        at = [Gauge(port, gauge.point) for port in (PUMP, GALLERY) for gauge in self.gauges]
        read = shown(self.build, self.vocabulary, self.topology, [variant(self.build)], at).pressure[0]
        return np.asarray(read[: len(self.gauges)] - read[len(self.gauges) :])


def bench(build: Build, readings: Sequence[GaugeReading], library: Library) -> Bench:
    """Raises DataFaults where the pickup is bare or a point does not settle."""
    at, gauges = at_readings(build, readings)
    plan, vocabulary = build.family.plan, library.vocabulary
    engines = Engines(plan, vocabulary, (variant(at),), tuple(at.points))
    topology = library.topologies.of(build.family.id, plan, vocabulary.kinds, parted(engines))
    steady = limits(engines, topology)[0]
    faults = []
    for i, (reading, gauge) in enumerate(zip(readings, gauges, strict=True), start=1):
        if not steady.solved(gauge.point):
            found = f"{reading.written}, where the flow has no balanced solution"
            faults.append(_unusable(i, found, "a point at which the engine can run"))
        elif steady.column(f"pickup_state.{gauge.point}")[0] == "bare":
            found = f"{reading.written}, where the pickup ends up bare and the pump draws air"
            faults.append(_unusable(i, found, "a point at which the pump draws oil"))
    if faults:
        raise DataFaults(faults)
    return Bench(at, gauges, topology, vocabulary)


def _unusable(number: int, found: str, expected: str) -> Fault:
    advice = "Leave this reading out, and check the build there."
    return Fault(Origin(file="readings"), f"reading {number}", found, expected, advice)
