"""Ten thousand random circuits of every passage there is, over all that the vocabulary holds possible.

Two hundred topologies, trees and trees with loops, of up to 40 nodes, with fifty engines each. Whatever comes out has
to balance by the definitions of the laws, written here once more and solved by halving.
"""

import math
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from upfeed.flow.network import OUTSIDE, Network
from upfeed.flow.solve import TOLERANCE, solve
from upfeed.knowledge.vocabulary import TURN_VALUES
from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.physics.laws import LAWS, Ways
from upfeed.physics.oil import oil_at
from upfeed.physics.resistance import Resistance
from upfeed.physics.sideflow import drawn_flow

pytestmark = pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time

VOCABULARY = read_vocabulary(Path(__file__).parents[2] / "shared" / "vocabulary")
CASES, TOPOLOGIES, STATES, MOST_NODES = 50, 200, 3, 40
MM = 1e-3
# Over a turn of the cam, and how far a gallery may stand from a band that a lifter of any length brings to it, SI.
TURN = {
    "turn.lift": (0.0, 20 * MM),
    "turn.foot": (5 * MM, 80 * MM),
    "turn.base_circle": (0.0, 1.0),
    "turn.seated": (0.0, 1.0),
    "turn.phase": (0.0, 1.0),
}
NEAR = 15 * MM
CLEARANCES = (2e-6, 0.5 * MM)


class Way(NamedTuple):
    """A passage that is not shut for good: its kind, law, terms, and terms of what it draws and of its bypass."""

    kind: str
    law: str
    takes: dict
    draws: dict | None
    bypass: dict | None


WAYS = [
    Way(kind.name, binding.law, binding.takes, passage.draws, passage.bypass)
    for kind in VOCABULARY.kinds.values()
    for passage in kind.passages.values()
    for binding in passage.laws.values()
    if binding.law not in ("shut", "clear")
]


def possible(kind, term):
    """Ends of what is possible for a term of a passage."""
    if isinstance(term, float):
        return term, term
    if term in TURN_VALUES:
        return TURN[term]
    other, _, name = term.rpartition(".")
    of = VOCABULARY.kinds[other or kind]
    ends = [of.attributes[one].possible for one in of.stands_for(name)]
    return min(low for low, _ in ends), max(high for _, high in ends)


def within(rng, ends, shape):
    """Anywhere between, by orders of magnitude where there are any; now and then one of the ends."""
    low, high = ends
    share = rng.random(shape)
    drawn = low * (high / low) ** share if low > 0 else low + (high - low) * share
    at_end = rng.random(shape)
    return np.where(at_end < 0.02, low, np.where(at_end > 0.98, high, drawn))


def sizes(rng, way):
    """Every argument of a way's law: the same all over the turn [C, 1], or another in every state [C, K]."""
    given = {
        name: within(rng, possible(way.kind, term), (CASES, STATES if term in TURN_VALUES else 1))
        for name, term in way.takes.items()
    }
    for name in ("seated", "base_circle"):
        if name in given:
            given[name] = (given[name] > 0.5).astype(float)
    if "shaft" in given and "bore" in given:
        given["bore"] = given["shaft"] + within(rng, CLEARANCES, (CASES, 1))
    for low, high in (("band_from", "band_to"), ("waist_from", "waist_to"), ("seat_inner", "seat_outer")):
        if low in given:
            given[low], given[high] = (f(given[low], given[high]) for f in (np.minimum, np.maximum))
    if "second_from" in given:  # bands do not overlap
        edges = ("band_from", "band_to", "second_from", "second_to")
        ordered = np.sort([np.broadcast_to(given[edge], (CASES, 1)) for edge in edges], axis=0)
        given |= dict(zip(edges, ordered, strict=True))
    if "gallery_height" in given and "band_from" in given:
        middle = given["foot"].mean(axis=1, keepdims=True) + (given["band_from"] + given["band_to"]) / 2
        given["gallery_height"] = middle + NEAR * rng.uniform(-1, 1, (CASES, 1))
    return given


def laws(rng, way):
    """What stands in a row, and two ways side by side or none: [C, K] each."""
    made = LAWS[way.law].function(**sizes(rng, way))
    whole = (CASES, STATES)
    ways = made if isinstance(made, Ways) else (made,)
    return [Resistance(*(np.broadcast_to(c, whole).copy() for c in of)) for of in ways]


def ends_of(rng):
    """Nodes, tails and heads: a tree, in half of all topologies loops, and ways into the open."""
    nodes = int(rng.integers(1, MOST_NODES + 1))
    ends = [(int(rng.integers(0, i)), i) for i in range(1, nodes)]
    if nodes > 2 and rng.random() < 0.5:
        ends += [tuple(rng.choice(nodes, 2, replace=False).tolist()) for _ in range(rng.integers(1, 9))]
    ends += [(i, OUTSIDE) for i in rng.choice(nodes, rng.integers(0, nodes + 1)).tolist()]
    turned = rng.random(len(ends)) < 0.3
    pairs = [(head, tail) if turn else (tail, head) for (tail, head), turn in zip(ends, turned, strict=True)]
    return nodes, np.array([*pairs, (0, OUTSIDE)]).T


def pump_of(rng):
    """Inflow at a speed from none to the highest, highest inflow, resistance of the slip, and the relief."""
    of = {name: within(rng, VOCABULARY.kinds["oil_pump"].attributes[name].possible, CASES)
          for name in ("displacement", "drive_ratio", "slip", "relief_opens", "relief_slope")}  # fmt: skip
    top = within(rng, VOCABULARY.kinds["points"].attributes["speed"].possible, CASES)
    speed = top * rng.choice([0.0, 1.0, 0.5, 0.1, 0.01], CASES, p=[0.1, 0.3, 0.2, 0.3, 0.1])
    per_turn = of["displacement"] * of["drive_ratio"] / (2 * math.pi)
    slip = np.where(of["slip"] > 0, 1 / np.maximum(of["slip"], 1e-300), np.inf)
    return speed, per_turn * speed, per_turn * top, slip, of["relief_opens"], of["relief_slope"]


def oil_of(rng):
    kind = VOCABULARY.kinds["oil"]
    at_40 = within(rng, kind.attributes["viscosity_40"].possible, CASES)
    share = rng.uniform(0.05, 0.4, CASES)
    at_100 = np.clip(at_40 * share, 2.05e-6, None)
    density = within(rng, kind.attributes["density_15"].possible, CASES)
    temperature = rng.uniform(273.15 - 35, 273.15 + 150, CASES)
    return oil_at(temperature, viscosity_40=at_40, viscosity_100=at_100, density_15=density)


def network_of(rng):
    nodes, (tail, head) = ends_of(rng)
    mu, rho = oil_of(rng)
    speed, inflow, most, slip, opens, slope = pump_of(rng)
    series, paired, first, second = [], [], [], []
    drawn, bypass_opens, bypass_slope = (np.full((CASES, len(tail)), x) for x in (0.0, np.inf, 0.0))
    for branch in range(len(tail) - 1):
        way = WAYS[rng.integers(len(WAYS))]
        made = laws(rng, way)
        blind = rng.random(CASES) < 0.1
        if len(made) > 1:
            paired.append(branch)
            first.append(made[0])
            second.append(made[1])
            made = laws(rng, Way("lifter", "hole", {"diameter": "feed_hole", "length": "wall"}, None, None))
        made[0].a[blind], made[0].b[blind] = np.inf, 0.0
        series.append(made[0])
        if way.draws:
            terms = {name: within(rng, possible(way.kind, term), CASES) for name, term in way.draws.items()}
            drawn[:, branch] = drawn_flow(**{n: v for n, v in terms.items() if n != "turns"}, speed=speed)
        if way.bypass:
            fitted = rng.random(CASES) < 0.8
            ends = {name: possible(way.kind, term) for name, term in way.bypass.items()}
            bypass_opens[fitted, branch] = within(rng, ends["opens"], CASES)[fitted]
            bypass_slope[fitted, branch] = within(rng, ends["slope"], CASES)[fitted]
    series.append(Resistance(np.tile(slip[:, None], STATES), np.zeros((CASES, STATES))))
    weight = rng.dirichlet(np.ones(STATES), (CASES, len(tail)))
    return Network(
        nodes=nodes, tail=tail, head=head,
        count=rng.choice([1.0, 1.0, 1.0, 0.0, 5.0, 16.0], (CASES, len(tail))), weight=weight,
        series=stacked(series), paired=np.array(paired, dtype=int), first=stacked(first), second=stacked(second),
        drawn=drawn, bypass_opens=bypass_opens, bypass_slope=bypass_slope,
        mu=mu, rho=rho, source=0, inflow=inflow, relief_opens=opens, relief_slope=slope, scale=most,
    )  # fmt: skip


def stacked(laws):
    if not laws:
        return Resistance(*(np.zeros((CASES, 0, STATES)),) * 2)
    return Resistance(*(np.stack([law[i] for law in laws], axis=1) for i in (0, 1)))


# Once more, from the definitions


def flow_by_definition(law, dp, mu, rho):
    """The root of a mu Q + b rho Q² = |dp|, the way round dp is."""
    a, b = law
    is_open = np.isfinite(a)
    viscous, inertial = np.where(is_open, a, 1.0) * mu, b * rho
    below = viscous + np.sqrt(viscous**2 + 4 * inertial * np.abs(dp))
    flows = is_open & (dp != 0)  # at rest a law without viscous part is nought by nought
    return np.where(flows, np.copysign(2 * np.abs(dp) / np.where(flows, below, 1.0), dp), 0.0)


def through_pairs(network, dp, mu, rho):
    """Flow through the branches in which two ways stand side by side, their pressure found by halving."""
    ahead = Resistance(network.series.a[:, network.paired], network.series.b[:, network.paired])
    # Whole numbers stand in the order of the floats that have their bits: halved, they settle in 64 steps anywhere.
    low, high = np.zeros(dp.shape, dtype=np.int64), np.abs(dp).view(np.int64)

    def side(p):
        return sum(flow_by_definition(way, p, mu, rho) for way in (network.first, network.second))

    while (high - low > 1).any():
        middle = low + (high - low) // 2
        p = middle.view(np.float64)
        over = side(p) > flow_by_definition(ahead, np.abs(dp) - p, mu, rho)
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    high = high.view(np.float64)
    either = np.where(
        high > np.abs(dp) / 2, side(high), flow_by_definition(ahead, np.abs(dp) - high, mu, rho)
    )
    return np.copysign(either, dp)


def apart(network, pressure):
    """Pressure at each branch's tail and at its head: [C, E] each."""
    with_outside = np.concatenate([pressure, np.zeros((CASES, 1))], axis=1)
    return with_outside[:, network.tail], with_outside[:, network.head]


def flows(network, drop):
    """Flow of one of each branch: [C, E]."""
    mu, rho = network.mu[:, None, None], network.rho[:, None, None]
    states = np.broadcast_to(drop[:, :, None], network.weight.shape)
    through = flow_by_definition(network.series, states, mu, rho)
    if len(network.paired):
        through[:, network.paired] = through_pairs(network, states[:, network.paired], mu, rho)
    fed, drawn = (through * network.weight).sum(axis=2), network.drawn
    least = 0.15**2 * drawn
    both = fed + drawn - 0.3 * np.sqrt(np.maximum(fed, 0.0) * drawn)
    starved = fed / np.where(drawn > 0, least, 1.0) * (1 - 0.15**2) * drawn
    fed = np.where((fed <= 0) | (drawn <= 0), fed, np.where(fed < least, starved, both))
    return fed + network.bypass_slope * np.maximum(drop - network.bypass_opens, 0.0)


def imbalance(network, pressure, drop):
    """What comes into each node less what goes out: [C, N]."""
    through = flows(network, drop) * network.count
    net = np.zeros((CASES, network.nodes + 1))
    relief = network.relief_slope * np.maximum(pressure[:, network.source] - network.relief_opens, 0.0)
    net[:, network.source] = network.inflow - relief
    for branch, (tail, head) in enumerate(zip(network.tail, network.head, strict=True)):
        net[:, tail] -= through[:, branch]
        net[:, head] += through[:, branch]
    return net[:, :-1]


def reachable(network):
    """Nodes that hang together with the source by what is open at some time: [C, N]."""
    is_open = np.isfinite(network.series.a)
    is_open[:, network.paired] &= np.isfinite(network.first.a) | np.isfinite(network.second.a)
    joined = is_open.any(axis=2) | (np.isfinite(network.bypass_opens) & (network.bypass_slope > 0))
    joined &= (network.count > 0) & (network.tail != OUTSIDE) & (network.head != OUTSIDE)
    case, branch = np.nonzero(joined)
    ends = (case * network.nodes + network.tail[branch], case * network.nodes + network.head[branch])
    size = CASES * network.nodes
    _, part = connected_components(coo_array((np.ones(len(case)), ends), shape=(size, size)), directed=False)
    part = part.reshape(CASES, network.nodes)
    return part == part[:, [network.source]]


@pytest.mark.parametrize("seed", range(20))
def test_random_circuits_balance(seed):
    for topology in range(TOPOLOGIES // 20):
        network = network_of(np.random.default_rng([seed, topology]))
        solution = solve(network)
        reached = reachable(network)
        assert solution.reached.tolist() == reached.tolist()
        assert np.isfinite(solution.pressure).all()
        assert np.isfinite(solution.flow).all()
        assert solution.converged.tolist() == [True] * CASES
        assert (solution.residual <= TOLERANCE).all()
        # Flows rise with pressure, so whatever balances at every node is the one solution.
        left = np.where(reached, np.abs(imbalance(network, solution.pressure, solution.drop)), 0.0).max(
            axis=1
        )
        assert (left <= 2 * TOLERANCE * network.scale).all()
        # Over a wide hole the drop may be less than the last digit of the pressures, and only so far from theirs.
        tail, head = apart(network, solution.pressure)
        digit = np.spacing(np.maximum(np.abs(tail), np.abs(head)))
        assert (np.abs(tail - head - solution.drop) <= digit).all()
        assert (solution.pressure[~reached] == 0).all()
