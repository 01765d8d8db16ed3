"""A network without what oil does not get to gives the very flow of the whole one, and so does a near beginning."""

import numpy as np
import pytest
from msgspec.structs import replace

from tarn_v8 import REFERENCE, engine, wired
from upfeed.flow.network import OUTSIDE
from upfeed.flow.reduced import reduced
from upfeed.flow.solve import solve
from upfeed.physics.resistance import Resistance

THOU = 25.4e-6


@pytest.fixture(scope="module")
def network():
    changes = ({"settings.preload": -5 * THOU}, {"lifter": "BW-121"}, {"block.main_clearance": 4 * THOU})
    return wired(*(engine(change) for change in changes), REFERENCE).network


@pytest.fixture(scope="module")
def feed(network):
    """The feed of the lifter gallery: the inner branch that does not begin at the pump."""
    inner = np.flatnonzero(network.head != OUTSIDE)
    return next(int(e) for e in inner if network.tail[e] != network.source)


@pytest.fixture(scope="module")
def without_lifters(network, feed):
    series = Resistance(network.series.a.copy(), network.series.b)
    series.a[:, feed] = np.inf
    return replace(network, series=series)


def test_what_lies_beyond_a_shut_branch_is_left_out(network, without_lifters, feed):
    other = next(e for e in range(len(network.tail)) if e != feed)
    lesser, place = reduced(without_lifters, (feed, other))
    assert set(lesser.tail.tolist()) == {network.source, int(network.tail[feed])}
    assert not len(lesser.paired)
    assert set(place) == {feed, other}
    whole, cut = solve(without_lifters), solve(lesser)
    assert cut.flow[:, place[feed]].tolist() == [0.0] * len(network.mu)
    assert cut.flow[:, place[other]] == pytest.approx(whole.flow[:, other], rel=1e-7)


def test_where_oil_gets_everywhere_all_stays(network):
    lesser, place = reduced(network, (3, 11))
    assert len(lesser.tail) == len(network.tail)
    assert lesser.paired.tolist() == network.paired.tolist()
    assert place == {3: 3, 11: 11}


def test_the_solution_does_not_hang_on_where_it_begins(network):
    usual = solve(network)
    near = solve(replace(network, inflow=network.inflow / 3), usual.pressure)
    far = solve(replace(network, inflow=network.inflow / 3))
    assert near.converged.all()
    assert near.flow == pytest.approx(far.flow, rel=1e-7, abs=1e-15)
