"""Node pressures and flows: by hand, by other root finders written from the definitions, and on random circuits."""

import math
from typing import NamedTuple

import networkx as nx
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from numpy.testing import assert_allclose
from scipy.optimize import brentq, root

from upfeed.flow.balance import balance
from upfeed.flow.network import LAWS, OUTSIDE, PER_CASE, Network, some_cases
from upfeed.flow.solve import TOLERANCE, Solution, solve
from upfeed.flow.throughput import Throughput, throughput
from upfeed.physics.resistance import Resistance

MU, RHO = 0.0085, 830.0
SHUT = (math.inf, 0.0)
NO_BYPASS = (math.inf, 0.0)
VISCOUS, INERTIAL, MIXED = (3e12, 0.0), (0.0, 4e13), (2e11, 3e12)


class Edge(NamedTuple):
    """A branch by its ends and one (a, b) a state; `pair` is a second and third way, side by side behind it.

    `drawn` by a turning journal through it; `bypass` (opening pressure, slope) of a spring-loaded way beside it.
    """

    tail: int
    head: int
    law: tuple[float, float] | list[tuple[float, float]]
    pair: tuple[tuple[float, float], tuple[float, float]] | None = None
    count: float = 1.0
    drawn: float = 0.0
    bypass: tuple[float, float] = NO_BYPASS

    @property
    def laws(self):
        return self.law if isinstance(self.law, list) else [self.law]


class Case(NamedTuple):
    inflow: float
    mu: float = MU
    rho: float = RHO
    opens: float = 4e5
    slope: float = 1e-8
    scale: float = 6e-4


def network(nodes, edges, *cases, weights=None):
    """Edges with one state or as many as `weights`, the same in every case."""
    weights = [1.0] if weights is None else weights
    shape = (len(cases), len(edges), len(weights))
    paired = [e for e, edge in enumerate(edges) if edge.pair]
    pick = [
        _laws([edges[e].pair[way] for e in paired], (len(cases), len(paired), len(weights))) for way in (0, 1)
    ]
    columns = [np.array(column, dtype=float) for column in zip(*cases, strict=True)]
    inflow, mu, rho, opens, slope, scale = columns
    return Network(
        nodes=nodes,
        tail=np.array([edge.tail for edge in edges]),
        head=np.array([edge.head for edge in edges]),
        count=np.broadcast_to([edge.count for edge in edges], shape[:2]).copy(),
        weight=np.broadcast_to(weights, shape).copy(),
        series=_laws([edge.law for edge in edges], shape),
        paired=np.array(paired, dtype=int),
        first=pick[0],
        second=pick[1],
        drawn=np.broadcast_to([edge.drawn for edge in edges], shape[:2]).copy(),
        bypass_opens=np.broadcast_to([edge.bypass[0] for edge in edges], shape[:2]).copy(),
        bypass_slope=np.broadcast_to([edge.bypass[1] for edge in edges], shape[:2]).copy(),
        mu=mu,
        rho=rho,
        source=0,
        inflow=inflow,
        relief_opens=opens,
        relief_slope=slope,
        scale=scale,
    )


def _laws(laws, shape):
    table = np.array([law if isinstance(law, list) else [law] * shape[2] for law in laws], dtype=float)
    table = table.reshape(*shape[1:], 2)
    return Resistance(*(np.broadcast_to(table[..., i], shape).copy() for i in (0, 1)))


def flow_by_definition(law, dp, mu, rho):
    """Positive root of a mu Q + b rho Q² = |dp|, with the sign of dp."""
    a, b = law
    if not math.isfinite(a) or dp == 0:
        return 0.0
    if b == 0:
        return dp / (a * mu)
    q = 2 * abs(dp) / (a * mu + math.sqrt((a * mu) ** 2 + 4 * b * rho * abs(dp)))
    return math.copysign(q, dp)


def edge_flow(edge, weights, dp, case):
    """Flow of one of a branch: the mean over its states, what its journal draws, what passes beside it.

    The pressure inside a pair is found by bracketing.
    """
    laws = edge.laws * (len(weights) // len(edge.laws))
    fed = sum(w * _state_flow(edge, law, dp, case) for w, law in zip(weights, laws, strict=True))
    opens, slope = edge.bypass
    return with_drawn(fed, edge.drawn) + (slope * (dp - opens) if dp > opens else 0.0)


def with_drawn(fed, drawn):
    """Qp + Qh - 0.3 sqrt(Qp Qh); below its least, at Qp = 0.0225 Qh, straight down to nothing."""
    if fed <= 0 or drawn <= 0:
        return fed
    if fed < 0.0225 * drawn:
        return fed * (1.0225 - 0.3 * 0.15) / 0.0225
    return fed + drawn - 0.3 * math.sqrt(fed * drawn)


def _state_flow(edge, law, dp, case):
    if edge.pair is None:
        return flow_by_definition(law, dp, case.mu, case.rho)

    def side(p):
        return sum(flow_by_definition(way, p, case.mu, case.rho) for way in edge.pair)

    def excess(p):
        return side(p) - flow_by_definition(law, dp - p, case.mu, case.rho)

    if dp == 0 or not math.isfinite(law[0]) or side(dp) == 0:
        return 0.0
    if excess(0.0) == 0:
        return 0.0
    inner = brentq(excess, 0.0, dp, xtol=1e-300, rtol=8.9e-16, maxiter=500)
    return side(inner) if abs(inner) > abs(dp) / 2 else flow_by_definition(law, dp - inner, case.mu, case.rho)


def imbalance(edges, weights, case, pressure):
    """What comes into each node less what goes out, from the definitions."""
    net = [0.0] * len(pressure)
    net[0] += case.inflow - case.slope * max(pressure[0] - case.opens, 0.0)
    for edge in edges:
        at = [0.0 if end == OUTSIDE else pressure[end] for end in (edge.tail, edge.head)]
        through = edge.count * edge_flow(edge, weights, at[0] - at[1], case)
        for end, sign in ((edge.tail, -1), (edge.head, 1)):
            if end != OUTSIDE:
                net[end] += sign * through
    return net


def solved(nodes, edges, case, weights=None) -> Solution:
    solution = solve(network(nodes, edges, case, weights=weights))
    assert solution.converged.tolist() == [True]
    assert solution.residual[0] <= TOLERANCE
    return solution


# One node, by hand


@pytest.mark.parametrize("inflow", [1e-9, 1e-6, 1e-5, 1e-4])
def test_one_passage_takes_all_that_comes(inflow):
    for a, b in (VISCOUS, INERTIAL, MIXED):
        by_hand = a * MU * inflow + b * RHO * inflow**2
        opens = 2 * by_hand
        solution = solved(1, [Edge(0, OUTSIDE, (a, b))], Case(inflow, opens=opens, scale=inflow))
        assert_allclose(solution.pressure, [[by_hand]], rtol=1e-9)
        assert_allclose(solution.flow, [[inflow]], rtol=1e-9)
        assert solution.relief[0] == 0.0


def test_equal_passages_side_by_side_and_a_count_of_them():
    # Four ways of 3e12 and two of them counted as one branch: six share the flow.
    edges = [Edge(0, OUTSIDE, VISCOUS) for _ in range(4)] + [Edge(0, OUTSIDE, VISCOUS, count=2.0)]
    solution = solved(1, edges, Case(6e-6))
    assert_allclose(solution.flow, [[1e-6] * 5], rtol=1e-9)
    assert_allclose(solution.pressure, [[3e12 * MU * 1e-6]], rtol=1e-9)


def test_relief_wide_open_by_hand():
    # Above 4 bar the relief passes 1e-8 m3/s for each further Pa, the passage 1/(3e12 mu) for each.
    for inflow in (1e-4, 5e-3):
        solution = solved(1, [Edge(0, OUTSIDE, VISCOUS)], Case(inflow))
        g = 1 / (3e12 * MU)
        by_hand = (inflow + 1e-8 * 4e5) / (g + 1e-8)
        assert_allclose(solution.pressure, [[by_hand]], rtol=1e-12)
        assert_allclose(solution.relief, [1e-8 * (by_hand - 4e5)], rtol=1e-9)


def test_exactly_at_the_opening_of_the_relief():
    inflow = 4e5 / (3e12 * MU)
    solution = solved(1, [Edge(0, OUTSIDE, VISCOUS)], Case(inflow))
    assert_allclose(solution.pressure, [[4e5]], rtol=1e-12)


def test_states_of_a_turn_share_the_pressure_and_add_up_by_weight():
    # Open for a quarter of the turn, twice as tight for a half, shut for the rest: (1/4 + 1/4) of the open flow.
    states = [VISCOUS, (6e12, 0.0), SHUT]
    solution = solved(1, [Edge(0, OUTSIDE, states)], Case(1e-6, opens=1e9), weights=[0.25, 0.5, 0.25])
    assert_allclose(solution.pressure, [[2 * 3e12 * MU * 1e-6]], rtol=1e-9)


def test_a_pair_shares_the_pressure_not_the_law():
    # 100 Pa over both: one way viscous, the other inertial, nothing ahead of them.
    viscous, inertial = (1e12, 0.0), (0.0, 1e15)
    inflow = 100 / (1e12 * MU) + math.sqrt(100 / (1e15 * RHO))
    solution = solved(1, [Edge(0, OUTSIDE, (0.0, 0.0), pair=(viscous, inertial))], Case(inflow, scale=1e-6))
    assert_allclose(solution.pressure, [[100.0]], rtol=1e-9)


def test_a_drop_smaller_than_the_last_digit_of_the_pressures():
    # Sixteen wide holes ahead of a tight film: by hand a mu Q/16, 3e-11 Pa out of 9.4 bar, whose last digit is 1e-10.
    inflow = 1e-11
    edges = [Edge(0, 1, (5e3, 0.0), count=16.0), Edge(1, OUTSIDE, (9.18e18, 0.0))]
    solution = solved(2, edges, Case(inflow, mu=1.2 * MU, opens=1e7, scale=1e-9))
    assert_allclose(solution.drop[0, 0], 5e3 * 1.2 * MU * inflow / 16, rtol=1e-9)
    assert_allclose(solution.flow[0], [inflow / 16, inflow], rtol=1e-9)
    assert_allclose(solution.pressure[0], 9.18e18 * 1.2 * MU * inflow, rtol=1e-9)


def test_next_to_nothing_leads_out_of_nodes_that_hang_closely_together():
    # What goes out of the three is the 1e-18th part of what can go to and fro; a mu Q by hand.
    ring = [Edge(i, (i + 1) % 3, (3e4, 0.0), count=16.0) for i in range(3)]
    solution = solved(3, [*ring, Edge(1, OUTSIDE, (3e23, 0.0))], Case(1e-16, mu=0.06, opens=1e7, scale=1e-16))
    assert_allclose(solution.pressure[0], 3e23 * 0.06 * 1e-16, rtol=1e-9)


# Nothing flows


@pytest.mark.parametrize("law", [VISCOUS, INERTIAL, MIXED, (1e8, 1e14)])
def test_zero_speed_leaves_no_pressure(law):
    # The last is a wide hole: from relief pressure down to rest its flow goes with the root of pressure.
    edges = [Edge(0, 1, MIXED), Edge(1, OUTSIDE, MIXED), Edge(0, OUTSIDE, law)]
    solution = solved(2, edges, Case(0.0))
    # Far below a thousandth of a pascal; what flows is within the accepted residual.
    assert_allclose(solution.pressure, 0.0, atol=1e-3)
    assert_allclose(solution.flow, 0.0, atol=1e-9 * 6e-4)
    assert_allclose(solved(1, [Edge(0, OUTSIDE, law)], Case(0.0)).pressure, 0.0, atol=1e-3)


def test_a_closed_circuit_sends_everything_over_the_relief():
    edges = [Edge(0, OUTSIDE, SHUT), Edge(0, 1, VISCOUS), Edge(1, OUTSIDE, SHUT)]
    solution = solved(2, edges, Case(1e-4))
    assert_allclose(solution.pressure, [[4e5 + 1e-4 / 1e-8] * 2], rtol=1e-9)
    assert solution.flow.tolist() == [[0.0, pytest.approx(0.0, abs=1e-15), 0.0]]
    assert_allclose(solution.relief, [1e-4], rtol=1e-9)


def test_what_is_not_reached_is_masked():
    edges = [
        Edge(0, OUTSIDE, VISCOUS),
        Edge(0, 1, SHUT),
        Edge(1, OUTSIDE, VISCOUS),
        Edge(2, 3, VISCOUS),
        Edge(3, OUTSIDE, VISCOUS),
    ]
    solution = solved(4, edges, Case(1e-6))
    assert solution.reached.tolist() == [[True, False, False, False]]
    assert solution.pressure[0, 1:].tolist() == [0.0, 0.0, 0.0]
    assert solution.flow[0, 1:].tolist() == [0.0, 0.0, 0.0, 0.0]
    assert_allclose(solution.pressure[0, 0], 3e12 * MU * 1e-6, rtol=1e-9)


@pytest.mark.parametrize(
    ("edge", "reaches"),
    [
        (Edge(1, 0, VISCOUS), True),  # drawn against the flow
        (Edge(0, 1, [SHUT, VISCOUS, SHUT]), True),  # open for a part of the turn
        (Edge(0, 1, [SHUT, SHUT, VISCOUS]), False),  # open for no part of it: its weight is nought
        (Edge(0, 1, VISCOUS, count=0.0), False),  # none fitted
        (Edge(0, 1, VISCOUS, pair=(SHUT, VISCOUS)), True),
        (Edge(0, 1, VISCOUS, pair=(SHUT, SHUT)), False),
        (Edge(0, 1, SHUT, pair=(VISCOUS, VISCOUS)), False),
    ],
)
def test_reached_through(edge, reaches):
    edges = [Edge(0, OUTSIDE, VISCOUS), edge, Edge(1, OUTSIDE, VISCOUS)]
    solution = solved(2, edges, Case(1e-6), weights=[0.5, 0.5, 0.0])
    assert solution.reached.tolist() == [[True, reaches]]
    assert bool(solution.pressure[0, 1] > 0) is reaches


def test_a_way_open_at_other_times_than_what_follows_it_still_reaches():
    # The node between stores nothing but stands under one steady pressure, so oil gets past both.
    edges = [Edge(0, 1, [VISCOUS, SHUT]), Edge(1, OUTSIDE, [SHUT, VISCOUS])]
    solution = solved(2, edges, Case(1e-6, opens=1e9), weights=[0.5, 0.5])
    assert_allclose(solution.pressure, [[4 * 3e12 * MU * 1e-6, 2 * 3e12 * MU * 1e-6]], rtol=1e-9)


# Against other solvers


def test_linear_circuit_with_loops_against_the_laplacian():
    # Purely viscous, relief shut: conductances between nodes, an ordinary linear system.
    rng = np.random.default_rng(11)
    ends = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3), (3, OUTSIDE), (2, OUTSIDE)]
    edges = [Edge(*end, (float(10 ** rng.uniform(10, 13)), 0.0)) for end in ends]
    laplacian = np.zeros((4, 4))
    for edge in edges:
        g = 1 / (edge.law[0] * MU)
        inside = [end for end in (edge.tail, edge.head) if end != OUTSIDE]
        for i in inside:
            laplacian[i, i] += g
        if len(inside) == 2:
            laplacian[inside[0], inside[1]] -= g
            laplacian[inside[1], inside[0]] -= g
    expected = np.linalg.solve(laplacian, [1e-6, 0, 0, 0])
    solution = solved(4, edges, Case(1e-6, opens=1e9))
    assert_allclose(solution.pressure[0], expected, rtol=1e-8)


def test_a_balanced_bridge_carries_nothing_and_a_tilted_one_flows_backwards():
    # Wheatstone: arms in the same ratio leave the bridge at rest; a tighter arm turns it round.
    def bridge(arm):
        edges = [
            Edge(0, 1, MIXED),
            Edge(0, 2, MIXED),
            Edge(1, OUTSIDE, MIXED),
            Edge(2, OUTSIDE, arm),
            Edge(1, 2, VISCOUS),
        ]
        return solved(3, edges, Case(2e-5)).flow[0, 4]

    assert abs(bridge(MIXED)) < 1e-9 * 6e-4
    assert bridge((4e11, 6e12)) < -1e-8
    assert bridge((1e11, 1e12)) > 1e-8


CIRCUITS = {
    "a tree of stations": [
        *(Edge(i, i + 1, (4e8, 2e8)) for i in range(4)),
        *(Edge(i, OUTSIDE, MIXED, pair=((5e13, 4e14), (1e13, 2e11))) for i in range(1, 5)),
        Edge(0, OUTSIDE, (2e12, 0.0), count=5.0),
    ],
    "a ring with two feeds": [
        Edge(0, 1, MIXED),
        Edge(0, 3, VISCOUS),
        Edge(1, 2, (1e11, 5e12)),
        Edge(2, 3, (3e10, 8e11)),
        Edge(3, 4, (3e10, 8e11)),
        Edge(4, 1, MIXED),
        Edge(2, OUTSIDE, [MIXED, VISCOUS, SHUT]),
        Edge(4, OUTSIDE, [(1e12, 1e12), MIXED, VISCOUS], count=3.0),
    ],
    "cold and tight": [
        Edge(0, 1, (1e9, 2e8)),
        Edge(1, OUTSIDE, (2e15, 0.0), count=16.0),
        Edge(1, OUTSIDE, (6e13, 4e14), pair=((2e13, 3e14), (1e16, 0.0))),
        Edge(0, OUTSIDE, (6.5e10, 2e12)),
    ],
}


@pytest.mark.parametrize("name", CIRCUITS)
@pytest.mark.parametrize(
    "case",
    [
        Case(7e-5),
        Case(3e-4),
        Case(1e-5, mu=0.004, rho=800.0),
        Case(1e-4, mu=3.5, rho=890.0),
        Case(2e-4, opens=2e5, slope=1e-9),
    ],
    ids=["idle", "fast", "thin", "cold", "weak relief"],
)
def test_against_a_root_finder_written_from_the_definitions(name, case):
    edges, weights = CIRCUITS[name], [0.5, 0.3, 0.2]
    nodes = 1 + max(max(edge.tail, edge.head) for edge in edges)

    def scaled(bars):
        return [q / case.scale for q in imbalance(edges, weights, case, [1e5 * p for p in bars])]

    expected = root(scaled, [1.0 - 0.01 * i for i in range(nodes)], method="hybr", options={"xtol": 1e-13})
    assert max(map(abs, scaled(expected.x))) < 1e-7, "the other root finder has to have found one"
    solution = solved(nodes, edges, case, weights=weights)
    assert_allclose(solution.pressure[0], 1e5 * expected.x, rtol=1e-5)
    for i, edge in enumerate(edges):
        at = [0.0 if end == OUTSIDE else solution.pressure[0, end] for end in (edge.tail, edge.head)]
        through = edge_flow(edge, weights, at[0] - at[1], case)
        assert_allclose(solution.flow[0, i], through, rtol=1e-9, atol=1e-18)


@pytest.mark.parametrize("mu", [0.1, 1.0, 10.0])
def test_cold_oil_in_one_passage_against_bracketing(mu):
    edges, case = [Edge(0, OUTSIDE, (6.5e10, 2e12), count=3.0)], Case(1e-4, mu=mu)
    expected = brentq(lambda p: imbalance(edges, [1.0], case, [p])[0], 0.0, 1e9, xtol=1e-6)
    assert_allclose(solved(1, edges, case).pressure[0, 0], expected, rtol=1e-9)


# What a turning journal draws, and a spring-loaded way beside a passage


def test_a_journal_that_draws_as_much_as_pressure_feeds_by_hand():
    # Qp = Qh = 1e-6: 1.7e-6 flow at the pressure that alone would drive 1e-6.
    solution = solved(1, [Edge(0, OUTSIDE, VISCOUS, drawn=1e-6)], Case(1.7e-6))
    assert_allclose(solution.pressure, [[3e12 * MU * 1e-6]], rtol=1e-9)
    assert_allclose(solution.flow, [[1.7e-6]], rtol=1e-9)


def test_each_of_a_count_of_journals_draws():
    solution = solved(1, [Edge(0, OUTSIDE, VISCOUS, drawn=1e-6, count=5.0)], Case(5 * 1.7e-6))
    assert_allclose(solution.pressure, [[3e12 * MU * 1e-6]], rtol=1e-9)


def test_a_journal_draws_on_the_mean_over_the_turn():
    # Open for a quarter of the turn, so 1e-6 in the mean at the pressure that drives 4e-6; Qh 4e-6 makes 4.4e-6.
    edge = Edge(0, OUTSIDE, [VISCOUS, SHUT], drawn=4e-6)
    solution = solved(1, [edge], Case(4.4e-6, opens=1e9), weights=[0.25, 0.75])
    assert_allclose(solution.pressure, [[3e12 * MU * 4e-6]], rtol=1e-9)


def test_a_starved_journal_gets_what_there_is():
    # A hundredth of the least sum, 0.9775 of what is drawn, at a hundredth of its pressure-fed 0.0225.
    solution = solved(1, [Edge(0, OUTSIDE, VISCOUS, drawn=1e-5)], Case(0.01 * 0.9775e-5))
    assert_allclose(solution.pressure, [[3e12 * MU * 0.01 * 0.0225e-5]], rtol=1e-7)
    # Without pressure it leaves none.
    assert_allclose(solved(1, [Edge(0, OUTSIDE, VISCOUS, drawn=1e-5)], Case(0.0)).pressure, 0.0, atol=1e-3)


def test_nothing_is_drawn_through_a_passage_that_is_shut_all_over():
    edges = [Edge(0, OUTSIDE, VISCOUS), Edge(0, OUTSIDE, SHUT, drawn=1e-6), Edge(0, 1, SHUT, drawn=1e-6)]
    solution = solved(2, edges, Case(1e-6))
    assert solution.flow[0, 1:].tolist() == [0.0, 0.0]
    assert_allclose(solution.pressure, [[3e12 * MU * 1e-6, 0.0]], rtol=1e-9)


def test_a_journal_fed_backwards_draws_nothing():
    # Drawn the wrong way round, from the open space into the circuit: the journal cannot lift oil.
    solution = solved(1, [Edge(OUTSIDE, 0, VISCOUS, drawn=1e-6)], Case(1e-6))
    assert_allclose(solution.flow, [[-1e-6]], rtol=1e-9)


def test_a_bypass_by_hand():
    # A clogged filter, 3e12 * MU for each m3/s, 3e-6 past it at 7.65e4 Pa: with the bypass from 5e4 Pa at
    # 1e-10 m3/s/Pa the drop is (Q + 1e-10 * 5e4)/(1/(3e12 MU) + 1e-10).
    edges = [Edge(0, 1, VISCOUS, bypass=(5e4, 1e-10)), Edge(1, OUTSIDE, VISCOUS)]
    for inflow in (1e-6, 3e-6):
        drop = 3e12 * MU * inflow
        if drop > 5e4:
            drop = (inflow + 1e-10 * 5e4) / (1 / (3e12 * MU) + 1e-10)
        solution = solved(2, edges, Case(inflow))
        assert_allclose(solution.pressure, [[drop + 3e12 * MU * inflow, 3e12 * MU * inflow]], rtol=1e-9)
        assert_allclose(solution.flow, [[inflow, inflow]], rtol=1e-9)


def test_each_of_a_count_has_its_bypass():
    edges = [Edge(0, OUTSIDE, SHUT, bypass=(5e4, 1e-10), count=2.0)]
    assert_allclose(solved(1, edges, Case(1e-6)).pressure, [[5e4 + 1e-6 / 2 / 1e-10]], rtol=1e-9)


def test_a_shut_passage_with_a_bypass_is_a_way():
    edges = [Edge(0, 1, SHUT, bypass=(5e4, 1e-10)), Edge(1, OUTSIDE, VISCOUS), Edge(0, OUTSIDE, VISCOUS)]
    shut, opened = solved(2, edges, Case(1e-6)), solved(2, edges, Case(1e-5))
    assert shut.reached.tolist() == opened.reached.tolist() == [[True, True]]
    assert_allclose(shut.flow, [[0.0, 0.0, 1e-6]], rtol=1e-9, atol=1e-15)
    passed = opened.flow[0, 0]
    drop = opened.pressure[0, 0] - opened.pressure[0, 1]
    assert_allclose(passed, 1e-10 * (drop - 5e4), rtol=1e-9)
    assert passed > 1e-8


@pytest.mark.parametrize("bypass", [(math.inf, 1e-10), (5e4, 0.0)])
def test_a_bypass_that_never_opens_is_no_way(bypass):
    edges = [Edge(0, OUTSIDE, VISCOUS), Edge(0, 1, SHUT, bypass=bypass), Edge(1, OUTSIDE, VISCOUS)]
    assert solved(2, edges, Case(1e-5)).reached.tolist() == [[True, False]]


def test_a_bypass_holds_against_flow_backwards():
    edges = [Edge(1, 0, SHUT, bypass=(5e4, 1e-10)), Edge(1, OUTSIDE, VISCOUS), Edge(0, OUTSIDE, VISCOUS)]
    assert_allclose(solved(2, edges, Case(1e-5)).flow, [[0.0, 0.0, 1e-5]], rtol=1e-9, atol=1e-15)


DRAWING = Edge(0, OUTSIDE, [MIXED, VISCOUS, SHUT], drawn=2e-6, bypass=(3e5, 1e-10), count=3.0)


@given(st.floats(1e-9, 1e-3), st.floats(1.0, 2.0))
def test_more_oil_never_lowers_the_pressure(inflow, more):
    cases = [Case(inflow * factor, opens=5e5) for factor in (1.0, more)]
    pressure = solve(network(1, [DRAWING], *cases, weights=[0.5, 0.3, 0.2])).pressure[:, 0]
    assert pressure[1] >= pressure[0] * (1 - 1e-9)


@given(st.floats(1.0, 6.0).map(lambda e: 10.0**e))
def test_the_slope_of_a_branch_is_its_derivative(drop):
    drops, weights = [drop * (1 + share) for share in (-1e-5, 0.0, 1e-5)], [0.5, 0.3, 0.2]
    fed = [edge_flow(DRAWING._replace(drawn=0.0), weights, at, Case(0.0)) for at in drops]
    # Where the journal begins to starve or the bypass to open, the flow has a corner.
    assume(all((q < 0.0225 * DRAWING.drawn) == (fed[0] < 0.0225 * DRAWING.drawn) for q in fed))
    assume(all((at > DRAWING.bypass[0]) == (drop > DRAWING.bypass[0]) for at in drops))
    through, slope = throughput(network(1, [DRAWING], *[Case(0.0)] * 3, weights=weights)).at(np.c_[drops])
    assert_allclose(slope[1, 0], (through[2, 0] - through[0, 0]) / (drops[2] - drops[0]), rtol=1e-4)
    assert_allclose(through[1, 0], edge_flow(DRAWING, weights, drop, Case(0.0)), rtol=1e-12)


# Many cases at once


def circuits_side_by_side():
    """One topology, every number another in each of 60 cases, from thin oil to frost."""
    rng = np.random.default_rng(5)
    cases, edges = 60, [(0, 1), (1, 2), (2, 0), (0, OUTSIDE), (1, OUTSIDE), (2, OUTSIDE)]
    states = 4
    shape = (cases, len(edges), states)

    def laws(edges):
        return Resistance(
            10 ** rng.uniform(9, 14, (cases, edges, states)), 10 ** rng.uniform(8, 13, (cases, edges, states))
        )

    series, first, second = laws(len(edges)), laws(2), laws(2)
    series.a[::7, 3, 1] = np.inf
    series.b[::7, 3, 1] = 0.0
    return Network(
        nodes=3,
        tail=np.array([tail for tail, _ in edges]),
        head=np.array([head for _, head in edges]),
        count=rng.integers(0, 5, shape[:2]).astype(float),
        weight=rng.dirichlet(np.ones(states), shape[:2]),
        series=series,
        paired=np.array([1, 4]),
        first=first,
        second=second,
        drawn=np.where(rng.random(shape[:2]) < 0.3, 10 ** rng.uniform(-8, -5, shape[:2]), 0.0),
        bypass_opens=np.where(rng.random(shape[:2]) < 0.3, rng.uniform(1e4, 1e5, shape[:2]), np.inf),
        bypass_slope=np.full(shape[:2], 1e-9),
        mu=10 ** rng.uniform(-2.4, 0.6, cases),
        rho=rng.uniform(800, 900, cases),
        source=0,
        inflow=10 ** rng.uniform(-6, -3, cases),
        relief_opens=rng.uniform(1e5, 5e5, cases),
        relief_slope=10 ** rng.uniform(-9, -7, cases),
        scale=np.full(cases, 1e-3),
    )


def only(network, case):
    """One case of a network by itself."""
    return some_cases(network, np.arange(len(network.mu))[case : case + 1])


def test_every_array_of_a_network_is_known_to_be_by_case_or_not():
    of_all = {"nodes", "tail", "head", "paired", "source"}
    assert {*PER_CASE, *LAWS, *of_all} == {*Network.__struct_fields__}


def digits(values):
    return [f"{value:.8g}" for value in np.ravel(values)]


def test_a_case_does_not_depend_on_those_beside_it():
    network = circuits_side_by_side()
    together = solve(network)
    assert together.converged.all()
    for case in range(len(network.mu)):
        alone = solve(only(network, case))
        assert alone.reached.tolist() == together.reached[[case]].tolist()
        for name in ("pressure", "relief"):
            assert digits(getattr(alone, name)) == digits(getattr(together, name)[case])
        # Between two nodes at nearly one pressure the flow has fewer digits than the pressures.
        assert_allclose(alone.flow[0], together.flow[case], rtol=1e-8, atol=1e-12 * 1e-3)


def test_a_case_that_fails_is_reported_alone():
    # Nodes 0 and 1 with nothing between that any oil would notice: a slope beyond what counts as without end.
    edges = [Edge(0, 1, (1e-6, 0.0)), Edge(1, OUTSIDE, MIXED)]
    fine, lost = Case(1e-5, mu=1e6, opens=1e15), Case(1.1e-4, opens=3e5, slope=3e-10)
    both = solve(network(2, edges, fine, lost))
    assert both.converged.tolist() == [True, False]
    assert both.residual[1] > TOLERANCE
    assert_allclose(both.pressure[0], solved(2, edges, fine).pressure[0], rtol=1e-12)
    assert np.isfinite(both.pressure).all()


def test_no_case_at_all():
    empty = only(circuits_side_by_side(), 60)
    assert solve(empty).pressure.shape == (0, 3)


# How much work


@pytest.fixture
def looked_at(monkeypatch):
    """How many cases were looked at each time that branches were asked what they let through."""
    cases, at = [], Throughput.at

    def counted(of, drop):
        cases.append(len(drop))
        return at(of, drop)

    monkeypatch.setattr(Throughput, "at", counted)
    return cases


def test_cases_that_are_late_go_on_without_the_others(looked_at):
    # Viscous circuits with the relief shut are solved by one step; the last needs several.
    easy, edges = Case(1e-6), [Edge(0, OUTSIDE, (3e12, 0.0)), Edge(0, 1, MIXED), Edge(1, OUTSIDE, VISCOUS)]
    hard = network(2, edges, *[easy] * 999, Case(3e-4))
    hard.series.b[:-1] = 0.0
    assert solve(hard).converged.all()
    whole = [cases for cases in looked_at if cases > 1]
    assert len(whole) <= 3
    assert len(looked_at) - len(whole) >= 3


def test_where_nothing_is_late_all_cases_are_looked_at_together(looked_at):
    edges = [Edge(0, 1, MIXED), Edge(1, OUTSIDE, MIXED)]
    assert solve(network(2, edges, *[Case(1e-4)] * 50)).converged.all()
    assert set(looked_at) == {50}
    assert len(looked_at) <= 7


@pytest.mark.parametrize("element", [1e11, 1e12, 1e13])
def test_valves_that_open_hard_are_found_within_a_few_looks(looked_at, element):
    # Cold oil: a filter lets next to nothing by until its bypass opens at 0.9 bar; the relief opens at 3.7 bar.
    for further in np.geomspace(1e9, 1e13, 21):
        looked_at.clear()
        edges = [
            Edge(0, 1, (element, 0.0), bypass=(0.9e5, 1e-8)),
            Edge(1, 2, (1e8, 1e7)),
            Edge(2, OUTSIDE, (further, further)),
            Edge(1, OUTSIDE, (0.0, 10 * further)),
        ]
        solved(3, edges, Case(1e-4, mu=3.5, opens=3.7e5))
        assert len(looked_at) <= 10


def test_a_relief_that_is_never_shut():
    # It takes 1e-8 m3/s for each Pa from nothing on, beside 1/(3e12 mu) that the passage takes.
    solution = solved(1, [Edge(0, OUTSIDE, VISCOUS)], Case(1e-4, opens=0.0))
    assert_allclose(solution.pressure, [[1e-4 / (1 / (3e12 * MU) + 1e-8)]], rtol=1e-9)
    assert_allclose(solved(1, [Edge(0, OUTSIDE, VISCOUS)], Case(0.0, opens=0.0)).pressure, 0.0, atol=1e-6)


def test_a_closed_circuit_of_wide_holes_at_rest_is_solved():
    # No oil moves, so that a hole with no viscous part has a slope without end; nothing leads out.
    edges = [Edge(0, 1, INERTIAL), Edge(1, 2, INERTIAL), Edge(2, 0, INERTIAL), Edge(2, OUTSIDE, SHUT)]
    for inflow in (0.0, 1e-9, 1e-4):
        solution = solved(3, edges, Case(inflow))
        assert_allclose(solution.pressure[0], solution.pressure[0, 0], rtol=1e-9)
        if inflow:
            assert_allclose(solution.relief, [inflow], rtol=1e-6)


# Random circuits of real passages, trees and loops

# Ends of what parts can have: a hole of 0.2 mm at 20 mm depth to one of 30 mm in a plate. The two coefficients
# go with d^-4 and d^-4; for a diameter d in mm a = 24/d³ + 128 L/(pi d⁴), b about 2/(2 A²).
diameters = st.floats(-3.7, -1.5).map(lambda e: 10.0**e)
depths = st.floats(-3.5, -0.3).map(lambda e: 10.0**e)
drilled = st.builds(
    lambda d, length: (24 / d**3 + 128 * length / (math.pi * d**4), 16 / (math.pi**2 * d**4)),
    diameters,
    depths,
)
films = st.floats(12, 16).map(lambda e: (10.0**e, 0.0))
passages = st.one_of(drilled, drilled, films, st.just(SHUT))


@st.composite
def circuits(draw):
    nodes = draw(st.integers(1, 12))
    ends = [(draw(st.integers(0, i - 1)), i) for i in range(1, nodes)]
    ends += draw(
        st.lists(st.tuples(*[st.integers(0, nodes - 1)] * 2).filter(lambda e: e[0] != e[1]), max_size=4)
    )
    ends += [(i, OUTSIDE) for i in draw(st.lists(st.integers(0, nodes - 1), max_size=6))]
    edges = []
    for tail, head in ends or [(0, OUTSIDE)]:
        law = draw(st.one_of(passages, st.lists(passages, min_size=2, max_size=2)))
        pair = draw(st.one_of(st.none(), st.none(), st.none(), st.tuples(passages, passages)))
        turned = draw(st.booleans())
        edges.append(
            Edge(
                *((head, tail) if turned else (tail, head)), law, pair, draw(st.sampled_from([1.0, 1.0, 8.0]))
            )
        )
    scale = 10 ** draw(st.floats(-4.5, -2.5))
    case = Case(
        inflow=scale
        * draw(st.one_of(st.just(0.0), st.floats(0, 1), st.floats(-4, 0).map(lambda e: 10.0**e))),
        mu=10 ** draw(st.floats(-2.5, 0.7)),
        opens=10 ** draw(st.floats(4.5, 6)),
        slope=10 ** draw(st.floats(-9, -7)),
        scale=scale,
    )
    return nodes, edges, case


def reachable(nodes, edges, weights):
    graph = nx.Graph()
    graph.add_nodes_from(range(nodes))
    for edge in edges:
        pair_open = edge.pair is None or any(math.isfinite(a) for a, _ in edge.pair)
        if (
            OUTSIDE not in (edge.tail, edge.head)
            and pair_open
            and any(math.isfinite(a) for a, _ in edge.laws)
        ):
            graph.add_edge(edge.tail, edge.head)
    return nx.node_connected_component(graph, 0)


@pytest.mark.no_cover  # lines are covered by plainer tests; tracing would double the time
@given(circuits())
@settings(max_examples=300, deadline=None)
def test_random_circuits_balance_by_the_definitions(circuit):
    nodes, edges, case = circuit
    weights = [0.75, 0.25]
    solution = solve(network(nodes, edges, case, weights=weights))
    assert solution.converged.all()
    reached = reachable(nodes, edges, weights)
    assert set(np.flatnonzero(solution.reached[0])) == reached
    pressure = solution.pressure[0]
    assert np.isfinite(pressure).all()
    assert np.isfinite(solution.flow).all()
    net = imbalance(edges, weights, case, pressure.tolist())
    # Flows rise with pressure, so whatever balances at every node is the one solution.
    assert all(abs(net[i]) <= 2 * TOLERANCE * case.scale for i in reached)
    assert all(pressure[i] == 0 for i in range(nodes) if i not in reached)
    # No node stands above the source's highest pressure or below the open space, but for what rounding leaves:
    # an accepted residual through the tightest passages there are.
    open_ways = [law for edge in edges for law in (*edge.laws, *(edge.pair or ())) if math.isfinite(law[0])]
    left = TOLERANCE * case.scale * case.mu * sum(a for a, _ in open_ways)
    highest = case.opens + case.inflow / case.slope
    assert pressure.max() <= highest * (1 + 1e-9) + left
    assert pressure.min() >= -left


def test_what_is_accepted_is_a_billionth_of_the_pumps_top_flow():
    """Promised: a worst mass-balance residual of at most 1e-9 of displacement times top speed."""
    assert TOLERANCE <= 1e-9


def test_a_state_that_comes_back_counts_as_itself():
    """Open wide, nearly shut, open wide again: the flow is the mean of the three, by hand."""
    wide, narrow, weights = (2e11, 0.0), (8e11, 0.0), [0.5, 0.25, 0.25]
    solution = solve(
        network(1, [Edge(0, OUTSIDE, [wide, narrow, wide])], Case(1e-4, slope=0.0), weights=weights)
    )
    passes = sum(w / (a * MU) for w, (a, _) in zip(weights, (wide, narrow, wide), strict=True))
    assert solution.pressure[0, 0] == pytest.approx(1e-4 / passes, rel=1e-9)


def test_the_relief_holds_back_wherever_the_pump_stands_among_the_nodes():
    first = network(2, [Edge(0, 1, MIXED), Edge(1, OUTSIDE, VISCOUS)], Case(4e-4))
    last = network(2, [Edge(1, 0, MIXED), Edge(0, OUTSIDE, VISCOUS)], Case(4e-4))
    one, other = solve(first), solve(replace(last, source=1))
    assert one.pressure[0, 0] > 4e5  # the relief is open
    assert other.converged.all()
    assert_allclose(other.pressure[0, ::-1], one.pressure[0], rtol=1e-12)


def test_newtons_matrix_has_the_relief_at_the_pumps_own_place():
    here = balance(replace(network(2, [Edge(1, 0, MIXED), Edge(0, OUTSIDE, VISCOUS)], Case(4e-4)), source=1))
    still, rise = np.zeros((1, 2)), np.array([3e-9])
    matrix = here.jacobian(still, rise)[0] - here.jacobian(still, 0.0 * rise)[0]
    assert_allclose(matrix, [[0.0, 0.0], [0.0, 3e-9]])
