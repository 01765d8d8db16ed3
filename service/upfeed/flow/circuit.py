"""From branches to one array circuit for the solver: every turn squeezed, pump and oil at each operating point.

The solver's case axis C is variant and operating point together, variant by variant.
"""

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from upfeed.flow.branches import Branch, Stage, branches_of
from upfeed.flow.engines import Engines
from upfeed.flow.plan import Topology
from upfeed.flow.solve import OUTSIDE, PER_CASE, Mask, Network
from upfeed.flow.squeeze import BINS, squeeze, squeezed_weights
from upfeed.knowledge.vocabulary import AMBIENTS
from upfeed.physics.oil import oil_at
from upfeed.physics.resistance import Array, Resistance, in_series

_STATES = 1 + BINS
_NO_WAY = Resistance(np.array(np.inf), np.array(0.0))
_TURN = 2 * math.pi


class _Fluid(NamedTuple):
    """What flows: viscosity [Pa s], density [kg/m3] and the highest gallery pressure [Pa], [V, P, 1] each."""

    mu: Array
    rho: Array
    pressure: Array


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

    Raises ValueError where a chain holds more than one pair of ways side by side.
    """
    branches = branches_of(engines, topology)
    return Circuit(engines, topology, branches, _network(engines, topology, branches))


def _network(engines: Engines, topology: Topology, branches: tuple[Branch, ...]) -> Network:
    shape = len(engines.variants), len(engines.points)
    number = {name: i for i, name in enumerate(topology.nodes)} | dict.fromkeys(AMBIENTS, OUTSIDE)
    paired = [i for i, branch in enumerate(branches) if _pair(branch)]
    mu, rho = _oil(engines, shape)
    pump, source = _pump(engines, shape), number[topology.source]
    turns = pump["drive_ratio"] * _cases(engines.at_points("speed")[:, :, 0], shape) / _TURN
    inflow = pump["displacement"] * turns
    highest = pump["relief_opens"] + inflow / pump["relief_slope"]
    fluid = _Fluid(*(x.reshape(*shape, 1) for x in (mu, rho, highest)))
    slip = Resistance(*(np.broadcast_to(c[:, None], (len(mu), _STATES)) for c in _slip(pump["slip"])))
    return Network(
        nodes=len(topology.nodes),
        tail=np.array([number[b.chain.tail] for b in branches] + [source]),
        head=np.array([number[b.chain.head] for b in branches] + [OUTSIDE]),
        count=np.stack([_cases(b.count[:, None], shape) for b in branches] + [np.ones_like(mu)], axis=1),
        weight=np.stack(
            [_weights(b, shape) for b in branches] + [np.full(slip.a.shape, 1 / _STATES)], axis=1
        ),
        series=_stacked([_squeezed(_series(b), fluid) for b in branches] + [slip]),
        paired=np.array(paired, dtype=int),
        first=_stacked([_squeezed(_first(branches[i]), fluid) for i in paired], len(mu)),
        second=_stacked([_squeezed(_second(branches[i]), fluid) for i in paired], len(mu)),
        drawn=np.zeros((len(mu), len(branches) + 1)),
        bypass_opens=np.full((len(mu), len(branches) + 1), np.inf),
        bypass_slope=np.zeros((len(mu), len(branches) + 1)),
        mu=mu,
        rho=rho,
        source=source,
        inflow=inflow,
        relief_opens=pump["relief_opens"],
        relief_slope=pump["relief_slope"],
        scale=pump["displacement"] * pump["drive_ratio"] * _top_speed(engines, shape) / _TURN,
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
        _put(series, i, _squeezed(_series(branch), fluid))
        if i in paired:
            _put(first, paired[i], _squeezed(_first(branch), fluid))
            _put(second, paired[i], _squeezed(_second(branch), fluid))
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


def _fluid(network: Network, shape: tuple[int, int]) -> _Fluid:
    highest = network.relief_opens + network.inflow / network.relief_slope
    return _Fluid(*(x.reshape(*shape, 1) for x in (network.mu, network.rho, highest)))


def _pair(branch: Branch) -> tuple[Stage, ...]:
    pairs = tuple(stage for stage in branch.stages if stage.second is not None)
    if len(pairs) > 1:
        raise ValueError(f"{branch.chain.steps}: more than one pair of ways side by side in a row")
    return pairs


def _series(branch: Branch) -> Resistance:
    """All that stands in a row over the turn, and with it the first of a pair whose second way is shut."""
    single = [stage.first for stage in branch.stages if stage.second is None]
    alone = [_where(_shut_beside(stage), stage.first) for stage in _pair(branch)]
    return in_series(*single, *alone)


def _first(branch: Branch) -> Resistance:
    """The first of a pair of ways, or no resistance at all where the branch has none."""
    for stage in _pair(branch):
        return _where(~_shut_beside(stage), stage.first)
    return Resistance(np.zeros((1, 1, 1)), np.zeros((1, 1, 1)))


def _second(branch: Branch) -> Resistance:
    for stage in _pair(branch):
        return stage.second or _NO_WAY
    return Resistance(np.full((1, 1, 1), np.inf), np.zeros((1, 1, 1)))


def _shut_beside(stage: Stage) -> Mask:
    """States in which a pair is one way only, where that is so all over the lobe.

    What stands in a row has to be squeezed as one: by itself the rest would count as open where the one way
    is what holds the oil back.
    """
    shut = np.isinf((stage.second or _NO_WAY).a)
    clamped: Mask = shut & shut[..., 1:].all(axis=-1, keepdims=True)
    return clamped


def _where(counts: Mask, law: Resistance) -> Resistance:
    """The law where it counts, elsewhere no resistance at all."""
    return Resistance(np.where(counts, law.a, 0.0), np.where(counts, law.b, 0.0))


def _squeezed(law: Resistance, fluid: _Fluid) -> Resistance:
    """Every case at every squeezed state: [C, K]."""
    full = law if law.a.shape[-1] == 1 else squeeze(law, fluid.pressure, fluid.mu, fluid.rho)
    shape = (*fluid.mu.shape[:2], _STATES)
    a, b = (np.broadcast_to(c, shape).reshape(-1, _STATES) for c in full)
    return Resistance(a, b)


def _weights(branch: Branch, shape: tuple[int, int]) -> Array:
    weights = squeezed_weights(branch.turn.weight)
    return np.broadcast_to(weights, (*shape, _STATES)).reshape(-1, _STATES)


def _stacked(laws: Sequence[Resistance], cases: int = 0) -> Resistance:
    if not laws:
        return Resistance(np.zeros((cases, 0, _STATES)), np.zeros((cases, 0, _STATES)))
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


def _pump(engines: Engines, shape: tuple[int, int]) -> dict[str, Array]:
    slot = engines.slot_with("source")
    source = engines.kind(slot).source
    assert source is not None
    taken = source.takes.items()
    return {argument: _cases(engines.numbers(slot, 0, name)[:, :, 0], shape) for argument, name in taken}


def _slip(slip: Array) -> Resistance:
    """Leakage inside the pump, `Q = k dp / mu`: a passage of a = 1/k."""
    with np.errstate(divide="ignore"):
        return Resistance(1.0 / slip, np.zeros_like(slip))


def _top_speed(engines: Engines, shape: tuple[int, int]) -> Array:
    return _cases(engines.at_points("speed")[:, :, 0].max(axis=1, keepdims=True), shape)
