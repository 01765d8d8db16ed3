from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.judging.truth import (
    above,
    agreed,
    all_of,
    any_of,
    at_least,
    at_most,
    below,
    near,
    none_of,
    opposite,
)

# Strong three-valued logic, Kleene 1952, "Introduction to Metamathematics", section 64 (from memory).
AND = {
    (True, True): True, (True, None): None, (True, False): False,
    (None, True): None, (None, None): None, (None, False): False,
    (False, True): False, (False, None): False, (False, False): False,
}  # fmt: skip
OR = {
    (True, True): True, (True, None): True, (True, False): True,
    (None, True): True, (None, None): None, (None, False): None,
    (False, True): True, (False, None): None, (False, False): False,
}  # fmt: skip

truths = st.lists(st.sampled_from([True, False, None]), max_size=6)


@pytest.mark.parametrize("pair", AND)
def test_two_values_follow_the_tables(pair):
    assert all_of(pair) is AND[pair]
    assert any_of(pair) is OR[pair]
    assert none_of(pair) is opposite(OR[pair])


def test_nothing_at_all():
    assert all_of([]) is True
    assert any_of([]) is False
    assert none_of([]) is True


@given(truths)
def test_unknown_says_just_what_every_completion_agrees_on(values):
    completions = list(product(*[(True, False) if value is None else (value,) for value in values]))
    for combine, two_valued in ((all_of, all), (any_of, any), (none_of, lambda c: not any(c))):
        assert combine(values) is agreed(two_valued(c) for c in completions)


def test_agreement():
    assert agreed([2.0, 2.0]) == 2.0
    assert agreed([2.0, 3.0]) is None
    assert agreed([None, None]) is None
    assert agreed([]) is None


def test_a_quotient_that_floats_round_down_still_reaches_its_limit():
    assert not 1.43 / 1.1 >= 1.3  # what binary floating point says
    assert at_least(1.43 / 1.1, 1.3)
    assert not above(1.3, 1.43 / 1.1)


@given(st.floats(-1e9, 1e9), st.floats(-1e9, 1e9))
def test_exactly_one_of_above_below_and_near_holds(left, right):
    assert [above(left, right), above(right, left), near(left, right)].count(True) == 1
    assert at_least(left, right) is (above(left, right) or near(left, right))
    assert below(left, right) is above(right, left)
    assert at_most(left, right) is at_least(right, left)


def test_the_tolerance_is_small():
    assert above(1.0 + 1e-8, 1.0)
    assert not above(1.0 + 1e-10, 1.0)
    assert above(1e-12, 0.0)
