"""From branches to one array circuit for the solver: every turn squeezed, pump and oil at each operating point.

The solver's case axis C is variant and operating point together, variant by variant.
"""

from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from upfeed.flow.alongside import bypass, drawn_through
from upfeed.flow.branches import Branch, branches_of
from upfeed.flow.delivery import delivery
from upfeed.flow.engines import Engines
from upfeed.flow.network import OUTSIDE, PER_CASE, Network
from upfeed.flow.parted import parted
from upfeed.flow.plan import Topology
from upfeed.flow.squeeze import squeezed_weights
from upfeed.flow.squeezed import Fluid, pair_of, squeezed, squeezed_makes
from upfeed.knowledge.vocabulary import AMBIENTS
from upfeed.physics.oil import oil_at
from upfeed.physics.resistance import Array, Resistance


class Circuit(Struct, frozen=True):
    """The engines as branches between nodes, and as the solver's network."""

    engines: Engines
    topology: Topology
    branches: tuple[Branch, ...]
    network: Network

    @property
    def shape(self) -> tuple[int, int]:
        """Variants and points, which the solver's case axis runs over."""
        return len(self.engines.variants), len(self.engines.points)


def circuit(engines: Engines, topology: Topology) -> Circuit:
    """Assemble all variants at all points into arrays, ready to solve.

    Raises ValueError where a chain holds more than one pair of ways side by side, and where a topology joins what some
    engine parts.
    """
    if unparted := parted(engines) - topology.parted:
        raise ValueError(f"{sorted(unparted)}: parted in some engine, joined in the topology")
    return circuit_of(engines, topology, branches_of(engines, topology), engines.at_points("speed")[:, :, 0])


def circuit_of(engines: Engines, topology: Topology, branches: tuple[Branch, ...], turned: Array) -> Circuit:
    """A circuit of branches over turns of equally many states, its pump driven as by a crank's speed, rad/s: [V, P].

    Raises ValueError where a chain holds more than one pair of ways side by side.
    """
    return Circuit(engines, topology, branches, _network(engines, topology, branches, turned))


def _network(engines: Engines, topology: Topology, branches: tuple[Branch, ...], turned: Array) -> Network:
    shape = len(engines.variants), len(engines.points)
    number = {name: i for i, name in enumerate(topology.nodes)} | dict.fromkeys(AMBIENTS, OUTSIDE)
    paired = [i for i, branch in enumerate(branches) if pair_of(branch)]
    mu, rho = _oil(engines, shape)
    pump = delivery(engines, turned, mu, rho)
    highest = pump.relief_opens + pump.inflow / pump.relief_slope
    made = squeezed_makes(branches, Fluid(*(x.reshape(*shape, 1) for x in (mu, rho, highest))))
    weights = [_weights(b, shape) for b in branches]
    slip = Resistance(*(np.broadcast_to(c[:, None], weights[0].shape) for c in pump.slip))
    opens, slope = zip(*(bypass(engines, branch) for branch in branches), strict=True)
    return Network(
        nodes=len(topology.nodes),
        tail=np.array([number[b.chain.tail] for b in branches] + [number[topology.source]]),
        head=np.array([number[b.chain.head] for b in branches] + [OUTSIDE]),
        count=_beside([b.count[:, None] for b in branches], shape, last=1.0),
        weight=np.stack([*weights, np.full(slip.a.shape, 1 / slip.a.shape[1])], axis=1),
        series=_stacked([made[b.make].series for b in branches] + [slip], slip.a.shape),
        paired=np.array(paired, dtype=int),
        first=_stacked([made[branches[i].make].first for i in paired], slip.a.shape),
        second=_stacked([made[branches[i].make].second for i in paired], slip.a.shape),
        drawn=_beside([drawn_through(engines, b) for b in branches], shape, last=0.0),
        bypass_opens=_beside(opens, shape, last=np.inf),
        bypass_slope=_beside(slope, shape, last=0.0),
        mu=mu,
        rho=rho,
        source=number[topology.source],
        inflow=pump.inflow,
        relief_opens=pump.relief_opens,
        relief_slope=pump.relief_slope,
        scale=pump.most,
    )


def with_branches(circuit: Circuit, changed: Mapping[int, Branch]) -> Network:
    """The circuit's network with the branches of these numbers replaced, each from the node it began at."""
    network, shape = circuit.network, circuit.shape
    number = {name: i for i, name in enumerate(circuit.topology.nodes)} | dict.fromkeys(AMBIENTS, OUTSIDE)
    fluid = _fluid(network, shape)
    head, series, first, second = network.head.copy(), *map(_copied, _laws(network))
    paired = {branch: i for i, branch in enumerate(network.paired.tolist())}
    for i, branch in changed.items():
        head[i] = number[branch.chain.head]
        law = squeezed(branch, fluid, paired=i in paired)
        _put(series, i, law.series)
        if i in paired:
            _put(first, paired[i], law.first)
            _put(second, paired[i], law.second)
    return replace(network, head=head, series=series, first=first, second=second)


def stacked(networks: Sequence[Network]) -> Network:
    """Networks of the same nodes, branches and ends as cases of one, all of the first before those of the second."""
    arrays = {name: np.concatenate([getattr(network, name) for network in networks]) for name in PER_CASE}
    laws = [
        Resistance(np.concatenate([law.a for law in of]), np.concatenate([law.b for law in of]))
        for of in zip(*map(_laws, networks), strict=True)
    ]
    series, first, second = laws
    return replace(networks[0], series=series, first=first, second=second, **arrays)


def _laws(network: Network) -> tuple[Resistance, Resistance, Resistance]:
    return network.series, network.first, network.second


def _copied(law: Resistance) -> Resistance:
    return Resistance(law.a.copy(), law.b.copy())


def _put(into: Resistance, branch: int, law: Resistance) -> None:
    into.a[:, branch], into.b[:, branch] = law.a, law.b


def _fluid(network: Network, shape: tuple[int, int]) -> Fluid:
    highest = network.relief_opens + network.inflow / network.relief_slope
    return Fluid(*(x.reshape(*shape, 1) for x in (network.mu, network.rho, highest)))


def _beside(columns: Sequence[Array], shape: tuple[int, int], last: float) -> Array:
    """One column a branch, [V, P] or [V, 1], and the pump's slip as the last: [C, E]."""
    slip = np.full(shape[0] * shape[1], last)
    return np.stack([*(_cases(column, shape) for column in columns), slip], axis=1)


def _weights(branch: Branch, shape: tuple[int, int]) -> Array:
    weights = squeezed_weights(branch.turn.weight)
    states = weights.shape[-1]
    return np.broadcast_to(weights, (*shape, states)).reshape(-1, states)


def _stacked(laws: Sequence[Resistance], shape: tuple[int, ...]) -> Resistance:
    """Laws [C, K] of this shape side by side: [C, E, K], also where there are none."""
    if not laws:
        none = np.zeros((shape[0], 0, shape[1]))
        return Resistance(none, none)
    return Resistance(np.stack([law.a for law in laws], axis=1), np.stack([law.b for law in laws], axis=1))


def _cases(values: Array, shape: tuple[int, int]) -> Array:
    """[V, P] or [V, 1] to [C]."""
    return np.broadcast_to(values, shape).reshape(-1)


def _oil(engines: Engines, shape: tuple[int, int]) -> tuple[Array, Array]:
    """Dynamic viscosity [Pa s] and density [kg/m3] at each case's oil temperature: [C] each."""
    slot = engines.slot_with("fluid")
    names = engines.kind(slot).fluid or {}
    known = {argument: engines.numbers(slot, 0, name)[:, :, 0] for argument, name in names.items()}
    mu, rho = oil_at(engines.at_points("oil_temperature")[:, :, 0], **known)
    return _cases(mu, shape), _cases(rho, shape)
