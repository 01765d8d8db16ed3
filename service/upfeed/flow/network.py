"""An oil circuit as arrays: who meets whom, what is open, which nodes oil gets to.

Knows arrays only. The leading axis C is the case, N the nodes, E the branches, K the weighted states a branch
takes over one turn of the camshaft.
"""

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from upfeed.physics.resistance import Array, Resistance

Mask = NDArray[np.bool_]
Numbers = NDArray[np.int_]
Rows = NDArray[np.intp] | Mask
"""Some of the cases, by number or by mask."""

OUTSIDE = -1
"""Node number of the open space, at zero gauge pressure."""


class Network(Struct, frozen=True):
    """A circuit as arrays, all SI.

    tail, head: [E] node numbers. count: [C, E] equal branches side by side. weight: [C, E, K], summing to 1.
    series: [C, E, K]. paired: [P] numbers of the branches that hold two ways in parallel, those being first and
    second: [C, P, K]. drawn: [C, E] in m3/s, what a journal's turning draws through one of the branch, 0 for none.
    bypass_opens [Pa] and bypass_slope [m3/s/Pa]: [C, E], a spring-loaded way beside one of the branch, infinite for
    none. mu [Pa s], rho [kg/m3], inflow [m3/s] into node `source`, relief_opens [Pa], relief_slope [m3/s/Pa],
    scale [m3/s]: [C].
    """

    nodes: int
    tail: Numbers
    head: Numbers
    count: Array
    weight: Array
    series: Resistance
    paired: Numbers
    first: Resistance
    second: Resistance
    drawn: Array
    bypass_opens: Array
    bypass_slope: Array
    mu: Array
    rho: Array
    source: int
    inflow: Array
    relief_opens: Array
    relief_slope: Array
    scale: Array


LAWS = ("series", "first", "second")
"""Laws of a network; their leading axis is the case."""

PER_BRANCH = ("count", "weight", "drawn", "bypass_opens", "bypass_slope")
"""Arrays of a network, laws apart, whose second axis is the branch."""

PER_CASE = (*PER_BRANCH, "mu", "rho", "inflow", "relief_opens", "relief_slope", "scale")
"""Arrays of a network, laws apart, whose leading axis is the case."""


def some_cases(network: Network, rows: Rows) -> Network:
    """The cases of these numbers."""
    arrays = {name: getattr(network, name)[rows] for name in PER_CASE}
    laws = {name: Resistance(*(c[rows] for c in getattr(network, name))) for name in LAWS}
    return replace(network, **arrays, **laws)


def incidence(network: Network) -> Array:
    """+1 where a branch leaves a node, -1 where it enters: [N, E]."""
    matrix = np.zeros((network.nodes, len(network.tail)))
    branches = np.arange(len(network.tail))
    for ends, sign in ((network.tail, 1.0), (network.head, -1.0)):
        inside = ends != OUTSIDE
        np.add.at(matrix, (ends[inside], branches[inside]), sign)
    return matrix


def reached_nodes(network: Network) -> Mask:
    """Nodes that oil can get to from the source through branches that are open at some time: [C, N]."""
    inner = np.flatnonzero((network.tail != OUTSIDE) & (network.head != OUTSIDE))
    tail, head = network.tail[inner], network.head[inner]
    joins = _open_branches(network).take(inner, axis=1)
    reached = np.zeros((len(joins), network.nodes), dtype=bool)
    reached[:, network.source] = True
    for _ in range(network.nodes):
        leads_on = joins & (reached.take(tail, axis=1) != reached.take(head, axis=1))
        if not leads_on.any():
            break
        case, branch = leads_on.nonzero()
        reached[case, tail[branch]] = reached[case, head[branch]] = True
    return reached


def _open_branches(network: Network) -> Mask:
    is_open = np.isfinite(network.series.a) & (network.weight > 0)
    either = np.isfinite(network.first.a) | np.isfinite(network.second.a)
    is_open[:, network.paired] &= either
    bypass = np.isfinite(network.bypass_opens) & (network.bypass_slope > 0)
    shown: Mask = (is_open.any(axis=2) | bypass) & (network.count > 0)
    return shown
