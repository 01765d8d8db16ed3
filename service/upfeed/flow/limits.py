"""The facts of engines under each limit of what trapped air may do."""

from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.facts import Facts
from upfeed.flow.plan import Topology
from upfeed.flow.solve import solve
from upfeed.flow.trapped_air import nothing_stored


def limits(engines: Engines, ways: Topology) -> tuple[Facts, ...]:
    """Steady flow first; and nothing stored, where a passage inside the circuit is timed."""
    wired = circuit(engines, ways)
    unstored = nothing_stored(wired)
    steady = Facts(wired, solve(wired.network))
    return (steady,) if unstored is None else (steady, Facts(wired, unstored))
