"""Draws that fill the range evenly and hang on nothing but their key."""

import numpy as np
from scipy import stats

from upfeed.knowledge.strata import strata


def test_one_draw_falls_into_each_part_of_the_range():
    for count in (1, 2, 128, 1000):
        draws = strata("lifter: BW-118, chosen.feed_hole", count)
        assert sorted(np.floor(draws * count).astype(int)) == list(range(count))
        assert draws.min() > 0
        assert draws.max() < 1


def test_the_key_alone_decides():
    again = strata("one", 64)
    assert np.array_equal(strata("one", 64), again)
    assert not np.array_equal(strata("two", 64), again)


def test_keys_do_not_go_together():
    """Ranks of independent draws: rho has a standard deviation of 1/sqrt(N-1) (Kendall, Rank Correlation Methods)."""
    count, keys = 256, [f"slot {i}.attribute" for i in range(60)]
    rho = stats.spearmanr(np.array([strata(key, count) for key in keys]).T).statistic
    apart = rho[np.triu_indices(len(keys), 1)] * np.sqrt(count - 1)
    assert np.abs(apart).max() < 4.5
    # A mean square of n such values is 1 with a standard deviation of sqrt(2/n).
    assert abs(np.mean(apart**2) - 1) < 5 * np.sqrt(2 / apart.size)


def test_places_within_a_part_of_the_range_are_even():
    count = 512
    within = np.concatenate([strata(f"key {i}", count) * count % 1 for i in range(20)])
    assert stats.kstest(within, "uniform").pvalue > 0.01
