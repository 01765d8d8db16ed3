"""What a part lets by on the bench, from its sizes."""

import numpy as np
import pytest

from upfeed.knowledge.benches import lets_by, reading


@pytest.fixture
def known(library):
    return lambda part: {name: value.magnitude for name, value in library.knowledge.parts[part].has.items()}


@pytest.fixture
def kind(library):
    return library.vocabulary.kinds["lifter"]


@pytest.mark.parametrize(("part", "caught"), [("PD-31", 46), ("PD-32", 140)])
def test_the_size_that_a_bench_told_lets_by_what_the_bench_caught(known, kind, part, caught):
    """46 and 140 mL/min are read off the bench (kb/demo/bench-lifters.yaml); sizes are found from them by bisection."""
    read = reading(kind, known(part))
    flow = lets_by(kind, known(part), read.pressure, read.mu, read.rho)
    assert float(flow) == pytest.approx(caught * 1e-6 / 60, rel=1e-9)


def test_a_larger_notch_lets_by_more(known, kind):
    sizes = known("BW-118")
    notches = np.linspace(0.02e-6, 0.2e-6, 7)
    flows = lets_by(kind, {**sizes, "notch_area": notches}, 2.8e5, 0.02, 860.0)
    assert np.all(np.diff(flows) > 0)


def test_nothing_is_told_of_a_blind_lifter_or_without_a_size(known, kind, library):
    assert lets_by(kind, known("BW-121"), 2.8e5, 0.02, 860.0) is None
    sizes = known("BW-118")
    del sizes["feed_hole"]
    assert lets_by(kind, sizes, 2.8e5, 0.02, 860.0) is None
    assert lets_by(library.vocabulary.kinds["pushrod"], known("PR-7"), 2.8e5, 0.02, 860.0) is None
