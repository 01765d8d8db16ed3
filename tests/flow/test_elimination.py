"""Conductances solved without a subtraction: by hand, against exact fractions, and what leads nowhere."""

from fractions import Fraction

import numpy as np
import pytest
from numpy.testing import assert_allclose

from upfeed.flow.elimination import eliminated


def exactly(between, outwards, inflow):
    """Gauss-Jordan in fractions of what the numbers are to the last bit."""
    n = len(inflow)
    rows = [[Fraction(0)] * n + [Fraction(inflow[i])] for i in range(n)]
    for i in range(n):
        rows[i][i] = Fraction(outwards[i]) + sum(Fraction(between[i][j]) for j in range(n) if j != i)
        for j in range(n):
            if j != i:
                rows[i][j] = -Fraction(between[i][j])
    for k in range(n):
        rows[k] = [x / rows[k][k] for x in rows[k]]
        for i in range(n):
            if i != k:
                rows[i] = [x - rows[i][k] * y for x, y in zip(rows[i], rows[k], strict=True)]
    return [float(row[-1]) for row in rows]


def joined(*joins, nodes):
    between = np.zeros((1, nodes, nodes))
    for i, j, conductance in joins:
        between[0, i, j] = between[0, j, i] = conductance
    return between


def test_two_nodes_by_hand():
    # 6 in at the first, 3 between, 1 outwards at the second: 6 over 1, and 2 more.
    pressure = eliminated(joined((0, 1, 3.0), nodes=2), np.array([[0.0, 1.0]]), np.array([[6.0, 0.0]]))
    assert pressure.tolist() == [[8.0, 6.0]]


def test_what_is_read_stays_as_it_was():
    between, outwards, inflow = joined((0, 1, 3.0), nodes=2), np.array([[0.0, 1.0]]), np.array([[6.0, 0.0]])
    before = [array.copy() for array in (between, outwards, inflow)]
    eliminated(between, outwards, inflow)
    for array, was in zip((between, outwards, inflow), before, strict=True):
        assert array.tolist() == was.tolist()


@pytest.mark.parametrize("seed", range(5))
def test_to_the_last_digits_whatever_the_sizes(seed):
    # Forty orders of magnitude between what goes to and fro and what goes out.
    rng, nodes = np.random.default_rng(seed), 7
    upper = np.triu(10 ** rng.uniform(-20, 20, (3, nodes, nodes)) * (rng.random((3, nodes, nodes)) < 0.6), 1)
    between = upper + upper.transpose(0, 2, 1)
    outwards = 10 ** rng.uniform(-25, -15, (3, nodes))
    inflow = rng.random((3, nodes))
    expected = [
        exactly(*case) for case in zip(between.tolist(), outwards.tolist(), inflow.tolist(), strict=True)
    ]
    assert_allclose(eliminated(between, outwards, inflow), expected, rtol=1e-13)


def test_a_node_that_nothing_leads_away_from_has_none():
    between = joined((0, 1, 2.0), nodes=3)
    pressure = eliminated(between, np.array([[0.0, 4.0, 0.0]]), np.array([[8.0, 0.0, 0.0]]))
    assert pressure.tolist() == [[6.0, 2.0, 0.0]]
