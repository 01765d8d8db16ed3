"""The fewest positions, beside every combination tried."""

from itertools import combinations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from upfeed.flow.fewest import fewest


def reach(*rows):
    return np.array([[letter == "x" for letter in row] for row in rows])


def test_one_position_where_all_are_open_together():
    assert fewest(reach("..xxx..", ".xxxxxx")) == ((3, (0, 1)),)


def test_what_is_always_open_takes_any_position_so_the_first():
    assert fewest(reach("xxxx", "xxxx")) == ((0, (0, 1)),)


def test_what_is_never_open_is_left_out():
    assert fewest(reach("....", "..x.")) == ((2, (1,)),)
    assert fewest(reach("....", "....")) == ()


def test_the_middle_of_the_longest_run_round_the_end():
    """By hand: open at 6, 7, 0, 1 and 2 of eight, and at 4 alone: the middle of the five is 0."""
    assert fewest(reach("xxx.x.xx")) == ((0, (0,)),)


def test_one_that_shuts_where_the_others_are_open_takes_a_stop_of_its_own():
    assert fewest(reach("xxx...", "xxx...", "...xxx")) == ((1, (0, 1)), (4, (2,)))


@given(arrays(bool, st.tuples(st.integers(1, 5), st.integers(1, 8))))
def test_no_fewer_positions_would_do(open_at):
    chosen = fewest(open_at)
    reachable = set(np.flatnonzero(open_at.any(axis=1)).tolist())
    assert {row for _, rows in chosen for row in rows} == reachable
    assert all(open_at[row, at] for at, rows in chosen for row in rows)
    assert len([row for _, rows in chosen for row in rows]) == len(reachable)
    assert [at for at, _ in chosen] == sorted(at for at, _ in chosen)
    for fewer in combinations(range(open_at.shape[1]), max(len(chosen) - 1, 0)):
        reached = set(np.flatnonzero(open_at[:, list(fewer)].any(axis=1)).tolist())
        assert reached != reachable or not chosen
