"""What every branch of a network lets through at a drop of pressure, and how steeply that rises."""

import numpy as np

from upfeed.flow.network import Mask, Network, Numbers
from upfeed.physics.branch import flow_through_pair
from upfeed.physics.resistance import Array, Passage, Resistance, in_series
from upfeed.physics.sideflow import side_flow
from upfeed.physics.supply import spring_valve


class Throughput:
    """The branches of a network; what is the same at every pressure is worked out once.

    States of a turn that follow one another unchanged are taken as one, and a way without a second beside it as one
    with what stands ahead of it. What is left stands as columns S, branch after branch.
    """

    def __init__(self, network: Network) -> None:
        begins = _begins(network)
        self._network, self._branch = network, np.nonzero(begins)[0]
        self._first_of = np.searchsorted(self._branch, np.arange(len(network.tail)))
        weight = network.weight.reshape(len(network.mu), begins.size)
        self._weight = np.add.reduceat(weight, np.flatnonzero(begins), axis=1)
        self._mu, self._rho = network.mu[:, None], network.rho[:, None]
        series, double = _alone(network)
        self._law = Resistance(series.a[:, begins], series.b[:, begins])
        self._passage = Passage(self._law, self._mu, self._rho)
        self._set_pairs(begins, double)
        self._draws = bool((network.drawn > 0).any())
        self._bypassed = bool(np.isfinite(network.bypass_opens).any())

    def _set_pairs(self, begins: Mask, double: Mask) -> None:
        """Columns in which two ways stand side by side, and those ways."""
        network = self._network
        paired = begins[network.paired] & double
        places = np.full(begins.shape, -1)
        places[begins] = np.arange(len(self._branch))
        self._pairs: Numbers = places[network.paired][paired]
        self._ahead, self._first, self._second = (
            Resistance(law.a[:, chosen], law.b[:, chosen])
            for law, chosen in ((self._law, self._pairs), (network.first, paired), (network.second, paired))
        )

    def at(self, drop: Array) -> tuple[Array, Array]:
        """Flow of one of each branch, m3/s, and its derivative, m3/(s Pa), at a drop of pressure, Pa: [C, E] each.

        The mean over the turn, then what a turning journal draws with it, then what passes beside it.
        """
        network = self._network
        through, slope = self.of_turn(drop)
        if self._draws:
            through, slope = side_flow(through, slope, network.drawn)
        if self._bypassed:
            beside, rise = spring_valve(drop, network.bypass_opens, network.bypass_slope)
            through, slope = through + beside, slope + rise
        return through, slope

    def of_turn(self, drop: Array) -> tuple[Array, Array]:
        """The mean over the turn alone, flow and derivative, as in `at`."""
        across = drop[:, self._branch]
        through, slope = self._passage.at(across)
        if len(self._pairs):
            ways = self._ahead, self._first, self._second
            pair = flow_through_pair(across[:, self._pairs], *ways, self._mu, self._rho)
            through[:, self._pairs], slope[:, self._pairs] = pair
        return self._mean(through), self._mean(slope)

    def _mean(self, values: Array) -> Array:
        return np.add.reduceat(values * self._weight, self._first_of, axis=1)


def _begins(network: Network) -> Mask:
    """States that differ from the one before, in some case, by what is open and how far: [E, K]."""
    begins = np.ones(network.weight.shape[1:], dtype=bool)
    begins[:, 1:] = _changes(network.series)
    begins[network.paired, 1:] |= _changes(network.first)
    begins[network.paired, 1:] |= _changes(network.second)
    return begins


def _changes(law: Resistance) -> Mask:
    a, b = (np.any(c[..., 1:] != c[..., :-1], axis=0) for c in law)
    return np.asarray(a | b)


def _alone(network: Network) -> tuple[Resistance, Mask]:
    """What stands in a row, with it every first way that has no second beside it, and where it has: [P, K]."""
    double = np.asarray(np.isfinite(network.second.a).any(axis=0))
    paired = network.paired
    ahead = Resistance(network.series.a[:, paired], network.series.b[:, paired])
    whole = in_series(ahead, network.first)
    series = Resistance(network.series.a.copy(), network.series.b.copy())
    for kept, both, one in zip(series, whole, ahead, strict=True):
        kept[:, paired] = np.where(double, one, both)
    return series, double
