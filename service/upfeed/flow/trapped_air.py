"""The other limit of a passage that opens and shuts inside the circuit: nothing stored beyond it.

Behind such a passage trapped air may keep oil flowing while it is shut: the solved circuit then sees the mean of
the turn (steady beyond it). With no air the pressure beyond it falls at once: every state of the turn is solved
by itself and the solutions are averaged. What an engine does lies between the two.
"""

import numpy as np
from msgspec.structs import replace

from upfeed.flow.circuit import Circuit
from upfeed.flow.solve import Network, Solution, solve
from upfeed.knowledge.vocabulary import PHASE
from upfeed.physics.resistance import Array


def nothing_stored(circuit: Circuit) -> Solution | None:
    """Mean over the turn of every state solved by itself; None where no passage of the engine is timed."""
    timed = np.array([i for i, branch in enumerate(circuit.branches) if _is_timed(circuit, i)], dtype=int)
    if not len(timed):
        return None
    network = circuit.network
    states = network.weight.shape[2]
    solved = [solve(_held(network, timed, state)) for state in range(states)]
    return _mean(solved, network.weight[:, timed[0], :])


def _is_timed(circuit: Circuit, branch: int) -> bool:
    chain, engines = circuit.branches[branch].chain, circuit.engines
    passages = (engines.kind(way.slot).passages[way.passage] for way in chain.ways)
    terms = (term for p in passages for binding in p.laws.values() for term in binding.takes.values())
    return chain.valve is None and PHASE in terms


def _held(network: Network, timed: Array, state: int) -> Network:
    """The network with its timed branches standing still in one state."""
    weight = network.weight.copy()
    weight[:, timed, :] = 0.0
    weight[:, timed, state] = 1.0
    return replace(network, weight=weight)


def _mean(solved: list[Solution], weight: Array) -> Solution:
    """Pressures and flows averaged; settled only where every state is."""
    shares = weight.T
    return Solution(
        pressure=np.einsum("kc,kcn->cn", shares, np.array([s.pressure for s in solved])),
        reached=np.any([s.reached for s in solved], axis=0),
        flow=np.einsum("kc,kce->ce", shares, np.array([s.flow for s in solved])),
        relief=np.einsum("kc,kc->c", shares, np.array([s.relief for s in solved])),
        residual=np.max([s.residual for s in solved], axis=0),
        converged=np.all([s.converged for s in solved], axis=0),
    )
