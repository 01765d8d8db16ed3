"""A network without the branches that oil does not get to: the same flows, sooner solved."""

from collections.abc import Collection, Sequence

import numpy as np
from msgspec.structs import replace

from upfeed.flow.network import OUTSIDE, PER_BRANCH, Mask, Network, reached_nodes
from upfeed.physics.resistance import Resistance


def reduced(network: Network, wanted: Collection[int]) -> tuple[Network, dict[int, int]]:
    """The lesser network, and where each wanted branch stands in it; one that oil does not get to is kept too."""
    alive: Mask = np.asarray(reached_nodes(network).any(axis=0))
    ends = zip(network.tail.tolist(), network.head.tolist(), strict=True)
    fed = [e for e, (tail, head) in enumerate(ends) if alive[tail] or (head != OUTSIDE and alive[head])]
    kept = sorted({*fed, *wanted})
    return branches_alone(network, kept), {e: kept.index(e) for e in wanted}


def branches_alone(network: Network, kept: Sequence[int]) -> Network:
    """The network with the branches of these numbers only, in their order; its nodes stay."""
    places = [i for i, e in enumerate(network.paired.tolist()) if e in kept]
    return replace(
        network,
        tail=network.tail[kept],
        head=network.head[kept],
        **{name: getattr(network, name)[:, kept] for name in PER_BRANCH},
        series=_of(network.series, kept),
        paired=np.array([kept.index(e) for e in network.paired[places].tolist()], dtype=int),
        first=_of(network.first, places),
        second=_of(network.second, places),
    )


def _of(law: Resistance, branches: Sequence[int]) -> Resistance:
    return Resistance(law.a[:, branches], law.b[:, branches])
