"""What every branch of a network lets through at a drop of pressure, and how steeply that rises."""

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from upfeed.flow.network import Mask, Network, Numbers, Rows
from upfeed.physics.branch import flow_through_pair
from upfeed.physics.resistance import Array, Passage, Resistance, passage, shared
from upfeed.physics.sideflow import side_flow
from upfeed.physics.supply import spring_valve


class Pairs(Struct, frozen=True):
    """Columns in which one passage stands ahead of two side by side."""

    columns: Numbers
    ahead: Resistance
    first: Resistance
    second: Resistance


class Throughput(Struct, frozen=True):
    """The branches of a network; what is the same at every pressure is worked out once, by `throughput`.

    Laws stand as columns S, branch after branch: `branch` [S] is the column's branch, `begins` [E] each branch's first
    column. `drawing` are the branches with what is `drawn`, `bypassed` those with a bypass, `beside` [B, E] puts what
    passes it beside them.
    """

    branch: Numbers
    begins: Numbers
    passage: Passage
    pairs: Pairs | None
    mu: Array
    rho: Array
    drawing: Numbers
    drawn: Array
    bypassed: Numbers
    beside: Array
    bypass_opens: Array
    bypass_slope: Array

    def at(self, drop: Array) -> tuple[Array, Array]:
        """Flow of one of each branch, m3/s, and its derivative, m3/(s Pa), at a drop of pressure, Pa: [C, E] each.

        The mean over the turn, then what a turning journal draws with it, then what passes beside it.
        """
        through, slope = self.of_turn(drop)
        if len(self.drawing):
            fed, rise = through.take(self.drawing, axis=1), slope.take(self.drawing, axis=1)
            through[:, self.drawing], slope[:, self.drawing] = side_flow(fed, rise, self.drawn)
        if len(self.bypassed):
            over = drop.take(self.bypassed, axis=1)
            passed, rise = spring_valve(over, self.bypass_opens, self.bypass_slope)
            through, slope = through + passed @ self.beside, slope + rise @ self.beside
        return through, slope

    def of_turn(self, drop: Array) -> tuple[Array, Array]:
        """The mean over the turn alone, flow and derivative, as in `at`."""
        across = drop.take(self.branch, axis=1)
        through, slope = self.passage.at(across)
        if self.pairs:
            columns, ways = self.pairs.columns, (self.pairs.ahead, self.pairs.first, self.pairs.second)
            pair = flow_through_pair(across.take(columns, axis=1), *ways, self.mu, self.rho)
            through[:, columns], slope[:, columns] = pair
        return np.add.reduceat(through, self.begins, axis=1), np.add.reduceat(slope, self.begins, axis=1)

    def some(self, rows: Rows) -> "Throughput":
        """The cases of these numbers."""
        pairs = self.pairs
        if pairs:
            ways = (Resistance(*(c[rows] for c in way)) for way in (pairs.ahead, pairs.first, pairs.second))
            pairs = Pairs(pairs.columns, *ways)
        return replace(
            self,
            passage=Passage(*(c[rows] for c in self.passage)),
            pairs=pairs,
            mu=self.mu[rows],
            rho=self.rho[rows],
            drawn=self.drawn[rows],
            bypass_opens=self.bypass_opens[rows],
            bypass_slope=self.bypass_slope[rows],
        )


def throughput(network: Network) -> Throughput:
    """Gather what the branches of a network let through.

    States of a turn that follow one another unchanged are taken as one, and a way without a second beside it as one
    with what stands ahead of it.
    """
    double = np.asarray(np.isfinite(network.second.a).any(axis=0))
    series = _with_lone_ways(network, double) if len(network.paired) else network.series
    starts = _starts(network, series, double)
    columns = np.flatnonzero(starts)
    branch = columns // starts.shape[1]
    weight = np.add.reduceat(_flat(network.weight), columns, axis=1)
    law = shared(Resistance(*(_flat(c).take(columns, axis=1) for c in series)), weight)
    drawing = np.flatnonzero((network.drawn > 0).any(axis=0))
    bypassed = np.flatnonzero(np.isfinite(network.bypass_opens).any(axis=0))
    mu, rho = network.mu[:, None], network.rho[:, None]
    return Throughput(
        branch=branch,
        begins=np.searchsorted(branch, np.arange(len(starts))),
        passage=passage(law, mu, rho),
        pairs=_pairs(network, starts, double, law, weight) if double.any() else None,
        mu=mu,
        rho=rho,
        drawing=drawing,
        drawn=network.drawn[:, drawing],
        bypassed=bypassed,
        beside=(bypassed[:, None] == np.arange(len(starts))).astype(float),
        bypass_opens=network.bypass_opens[:, bypassed],
        bypass_slope=network.bypass_slope[:, bypassed],
    )


def _flat(values: Array) -> Array:
    """[C, E, K] to [C, E * K]."""
    return values.reshape(len(values), values.shape[1] * values.shape[2])


def _with_lone_ways(network: Network, double: Mask) -> Resistance:
    """What stands in a row, with it every first way that has no second beside it; `double` [P, K] is where one has."""
    series = Resistance(network.series.a.copy(), network.series.b.copy())
    for row, first in zip(series, network.first, strict=True):
        row[:, network.paired] += np.where(double, 0.0, first)
    return series


def _starts(network: Network, series: Resistance, double: Mask) -> Mask:
    """States that differ from the one before, in some case, by what is open and how far: [E, K]."""
    starts = np.ones(network.weight.shape[1:], dtype=bool)
    starts[:, 1:] = _changes(series)
    if double.any():
        starts[network.paired, 1:] |= _changes(network.first) | _changes(network.second)
    return starts


def _changes(law: Resistance) -> Mask:
    a, b = (c[..., 1:] != c[..., :-1] for c in law)
    return np.asarray((a | b).any(axis=0))


def _pairs(network: Network, starts: Mask, double: Mask, law: Resistance, weight: Array) -> Pairs:
    """Columns in which two ways stand side by side, and those ways."""
    here = starts[network.paired] & double
    places = np.cumsum(starts).reshape(starts.shape) - 1
    columns = places[network.paired][here]
    ways = (Resistance(way.a[:, here], way.b[:, here]) for way in (network.first, network.second))
    ahead = Resistance(law.a[:, columns], law.b[:, columns])
    return Pairs(columns, ahead, *(shared(way, weight[:, columns]) for way in ways))
