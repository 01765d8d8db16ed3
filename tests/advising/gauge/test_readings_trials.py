"""Held to account: values are moved, the gauges read off the model with noise, and the values have to be found again.

What counts as distinguishable is fixed by the sensitivity columns and by how far a value is moved, before any noise is
drawn. A move shows where the readings it changes are, together, four times the noise off what is expected. It can be
told where from every value that is not alike (columns at least 30 deg apart) it is four times the noise apart, that is
|what the move does| sin(angle) >= 4, in noise. Moves that do not show are no trials; they have to be called so.
"""

import numpy as np
import pytest

from upfeed.advising.gauge.explaining import ALIKE, TOLD, angles, explain

NOISE = 0.03
TRIALS, DRAWN = 100, 400  # a family
FAMILIES = ("tarn-v8", "dunmere-six", "wrenmoor-four")
# What a workshop may well read: hot and warm, at idle and up to where the relief opens, once above it, and the pump's
# own pressure beside the gallery's when the oil is cold.
POINTS = (
    *(
        "500 rpm, 110 C",
        "650 rpm, 100 C",
        "900 rpm, 110 C",
        "1200 rpm, 110 C",
        "600 rpm, 80 C",
        "800 rpm, 120 C",
    ),
    *("2500 rpm, 100 C", "4500 rpm, 100 C", "1500 rpm, 20 C", "1500 rpm, 20 C, pump"),
)
FARTHEST = 10.0


class Trial:
    """One value moved, what it does to the readings, and whether that shows and can be told from what others do."""

    def __init__(self, of, value, clean):
        self.value, self.clean = value, clean
        sigma = NOISE * clean
        apart = angles(of.columns, sigma)[value]
        does = np.linalg.norm((clean - of.expected) / sigma)
        others = apart[apart >= ALIKE].min(initial=np.pi / 2)
        self.shows = bool(does >= TOLD)
        self.distinguishable = bool(does * np.sin(others) >= TOLD)

    def told(self, of, drawn):
        """Whether the right value is in the first explanation, and whether that is called the only one."""
        noisy = self.clean * (1 + NOISE * drawn.standard_normal(len(self.clean)))
        explained = explain(of, noisy, NOISE * noisy)
        first = explained.ranked[:1]
        return any(self.value in (one.value, *one.alike) for one in first), explained.told


def moves_of(of, moves, solved, drawn):
    """Any felt value, either way, from the end of its spread to ten times as far or as far as it can be."""
    chosen = []
    for _ in range(DRAWN):
        value = int(drawn.integers(len(of.places)))
        least, most = of.ends(value)
        sides = [end for end in (least, most) if abs(end) >= 1] or [max(least, most, key=abs)]
        end = sides[int(drawn.integers(len(sides)))]
        size = drawn.uniform(min(1.0, abs(end)), min(FARTHEST, abs(end)))
        chosen.append((value, float(np.copysign(size, end))))
    shown = solved([moves.engine({of.places[value]: off}) for value, off in chosen])
    assert shown.known.all()
    return [Trial(of, value, row) for (value, _), row in zip(chosen, shown.pressure, strict=True)]


@pytest.fixture(scope="module")
def told(bench_of):
    """Of every family the first hundred moves that show, and all before them that do not, each with its outcome."""
    outcomes = []
    for seed, family in enumerate(FAMILIES):
        of, moves, solved = bench_of(family, POINTS)
        drawn, shown = np.random.default_rng(seed), 0
        for trial in moves_of(of, moves, solved, drawn):
            if shown == TRIALS:
                break
            shown += trial.shows
            outcomes.append((trial, *trial.told(of, drawn)))
    return outcomes


def test_three_hundred_trials_were_made(told):
    assert sum(trial.shows for trial, _, _ in told) == 300


def test_most_trials_can_be_told_from_every_other_value(told):
    assert sum(trial.distinguishable for trial, _, _ in told) >= 0.6 * 300


def test_the_right_value_or_one_with_it_ranks_first_where_it_can_be_told(told):
    right = [first for trial, first, _ in told if trial.distinguishable]
    assert sum(right) >= 0.9 * len(right)


def test_what_cannot_be_told_is_called_so(told):
    called = [not sure for trial, _, sure in told if not trial.distinguishable]
    assert len(called) >= 100
    assert sum(called) >= 0.9 * len(called)
