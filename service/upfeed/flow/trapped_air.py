"""The other limit of a passage that opens and shuts inside the circuit: nothing stored beyond it.

Behind such a passage trapped air may keep oil flowing while it is shut: the solved circuit then sees the mean of
the turn (steady beyond it). With no air the pressure beyond it falls at once: every state of the turn is solved
by itself and the solutions are averaged. What an engine does lies between the two.
"""

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from upfeed.flow.circuit import Circuit
from upfeed.flow.network import Network
from upfeed.flow.solve import Solution, solve
from upfeed.knowledge.vocabulary import PHASE
from upfeed.physics.resistance import Array

States = NDArray[np.intp]
"""Numbers of states of a turn."""


def nothing_stored(circuit: Circuit) -> Solution | None:
    """Mean over the turn of every state solved by itself; None where no passage of the engine is timed."""
    timed = np.array([i for i, branch in enumerate(circuit.branches) if _is_timed(circuit, i)], dtype=int)
    if not len(timed):
        return None
    network = circuit.network
    states, weight = _distinct(network, timed)
    return _mean([solve(_held(network, timed, state)) for state in states.T], weight)


def _distinct(network: Network, timed: Array) -> tuple[States, Array]:
    """The states of the turn that differ, case by case [C, S], and their weights [C, S].

    A window is open, shut or neither: what would be solved many times over is solved once. Cases with fewer states
    than others repeat one, at no weight.
    """
    a, b, weight = network.series.a[:, timed], network.series.b[:, timed], network.weight[:, timed[0], :]
    same = [(c[..., :, None] == c[..., None, :]).all(axis=1) for c in (a, b)]
    first = np.argmax(same[0] & same[1], axis=2)
    whole = np.where(first[:, :, None] == np.arange(weight.shape[1]), weight[:, :, None], 0.0).sum(axis=1)
    order = np.argsort(whole <= 0, axis=1, kind="stable")
    needed = int((whole > 0).sum(axis=1).max())
    states = order[:, :needed]
    return states, np.take_along_axis(whole, states, axis=1)


def _is_timed(circuit: Circuit, branch: int) -> bool:
    chain, engines = circuit.branches[branch].chain, circuit.engines
    passages = (engines.kind(way.slot).passages[way.passage] for way in chain.ways)
    terms = (term for p in passages for binding in p.laws.values() for term in binding.takes.values())
    return chain.valve is None and PHASE in terms


def _held(network: Network, timed: Array, state: States) -> Network:
    """The network with its timed branches standing still in one state, each case in its own."""
    weight = network.weight.copy()
    weight[:, timed, :] = np.arange(weight.shape[2]) == state[:, None, None]
    return replace(network, weight=weight)


def _mean(solved: list[Solution], weight: Array) -> Solution:
    """Pressures, drops and flows averaged; settled only where every state is."""
    shares = weight.T
    return Solution(
        pressure=np.einsum("kc,kcn->cn", shares, np.array([s.pressure for s in solved])),
        reached=np.any([s.reached for s in solved], axis=0),
        flow=np.einsum("kc,kce->ce", shares, np.array([s.flow for s in solved])),
        drop=np.einsum("kc,kce->ce", shares, np.array([s.drop for s in solved])),
        relief=np.einsum("kc,kc->c", shares, np.array([s.relief for s in solved])),
        residual=np.max([s.residual for s in solved], axis=0),
        converged=np.all([s.converged for s in solved], axis=0),
    )
