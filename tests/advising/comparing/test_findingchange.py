"""When a finding has grown worse from one build to another."""

import pytest

from upfeed.advising.comparing.findingchange import by_figure
from upfeed.answering.answer import Figure


@pytest.mark.parametrize(
    ("one", "other", "worse_with", "change"),
    [
        (1.0, 1.04, "more", "same"),
        (1.0, 1.06, "more", "worse"),
        (1.06, 1.0, "more", "lighter"),
        (1.0, 1.06, "less", "lighter"),
        (-2.0, -3.0, "less", "worse"),
        (0.0, 0.0, "more", "same"),
        (0.0, 1e-6, "more", "worse"),
    ],
)
def test_figures_count_as_they_are_told(one, other, worse_with, change):
    figures = [Figure("f", value, None, str(value), worse_with) for value in (one, other)]
    assert by_figure(*figures) == change
    assert by_figure(figures[0], None) is None
