"""Time until the pickup is bare: only its directions are held; `python tests/bare_times.py` prints it."""

import itertools
import math

import pytest

from bare_times import DRAINS, GAS, table, times

ROUNDING = 1 + 1e-7


@pytest.fixture(scope="module")
def found():
    return times()


def test_more_gas_never_leaves_more_time(found):
    for row in found.values():
        assert all(later <= sooner * ROUNDING for sooner, later in itertools.pairwise(row))


def test_more_area_never_leaves_less_time(found):
    areas = [count * diameter**2 for count, diameter in DRAINS]
    assert areas == sorted(areas)
    for narrow, wide in itertools.pairwise(found[drains] for drains in DRAINS):
        assert all(w * ROUNDING >= n for n, w in zip(narrow, wide, strict=True))


def test_some_drains_keep_up_and_some_do_not(found):
    seen = {math.isfinite(time) for row in found.values() for time in row}
    assert seen == {True, False}
    assert any(len(set(row)) > 2 for row in found.values())


def test_the_table_has_a_row_for_the_drains_and_a_column_for_the_gas():
    head, *rows = table().splitlines()
    assert [int(word) for word in head.split() if word.isdigit()] == list(GAS)
    assert [row.split(" mm")[0] for row in rows] == [f"{count} x {diameter}" for count, diameter in DRAINS]
