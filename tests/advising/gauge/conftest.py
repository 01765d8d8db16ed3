"""What tests of gauge readings ask for: sensitivities of a family's reference at readings."""

import pytest

from upfeed.advising.gauge.readingpoints import at_readings
from upfeed.advising.gauge.readingtext import read_readings
from upfeed.advising.gauge.sensitivities import sensitivities
from upfeed.flow.engines import Engines
from upfeed.flow.gauges import ports_of, shown
from upfeed.flow.parted import parted
from upfeed.flow.plan import topology
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.moves import Moves
from upfeed.knowledge.variants import variant


@pytest.fixture(scope="session")
def bench_of(library):
    """Sensitivities of a family's reference at points written as readings, its moves, and what solves engines."""

    def made(family, points):
        vocabulary, kinds = library.vocabulary, library.vocabulary.kinds
        build = reference_build(library.knowledge.families[family], library.knowledge, vocabulary)
        plan = build.family.plan
        ways = topology(
            plan, kinds, parted(Engines(plan, vocabulary, (variant(build),), tuple(build.points)))
        )
        texts = [", ".join((*p.split(", ")[:2], "0 psi", *p.split(", ")[2:])) for p in points]
        readings = read_readings(texts, "gallery", ports_of(ways), vocabulary)
        read, gauges = at_readings(build, readings)
        moves = Moves(read, vocabulary)

        def solved(variants):
            return shown(read, vocabulary, ways, variants, gauges)

        return sensitivities(moves, solved), moves, solved

    return made
