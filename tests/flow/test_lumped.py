"""A turn in one passage: exact at the two pressures it is made at, near at others, and no pair left in it."""

import numpy as np
import pytest

from tarn_v8 import KNOWLEDGE, REFERENCE, VOCABULARY, engine, wired
from upfeed.flow.circuit import circuit
from upfeed.flow.engines import Engines
from upfeed.flow.lumped import lumped
from upfeed.flow.plan import topology
from upfeed.flow.solve import solve
from upfeed.flow.squeeze import SPAN
from upfeed.flow.throughput import throughput
from upfeed.knowledge.build import reference_build
from upfeed.knowledge.variants import variant

THOU = 25.4e-6


def network_of(family):
    build = reference_build(family, KNOWLEDGE, VOCABULARY)
    engines = Engines(family.plan, VOCABULARY, (variant(build),), tuple(family.points))
    return circuit(engines, topology(family.plan, VOCABULARY.kinds)).network


@pytest.fixture(scope="module")
def network():
    changes = ({"settings.preload": -5 * THOU}, {"lifter": "BW-121"}, {"block.main_clearance": 4 * THOU})
    return wired(*(engine(change) for change in changes), REFERENCE).network


@pytest.mark.parametrize("share", [1.0, 1 / SPAN])
def test_every_branch_lets_the_same_by_at_both_pressures(network, share):
    highest = network.relief_opens + network.inflow / network.relief_slope
    drop = np.broadcast_to((highest * share)[:, None], network.count.shape)
    whole, one = (throughput(of).of_turn(drop)[0] for of in (network, lumped(network)))
    assert one == pytest.approx(whole, rel=1e-9, abs=1e-18)


@pytest.mark.parametrize("family", list(KNOWLEDGE.families))
def test_engines_settle_at_nearly_the_same_pressures(family):
    whole = network_of(KNOWLEDGE.families[family])
    full, one = solve(whole), solve(lumped(whole))
    assert one.converged.all()
    assert one.pressure == pytest.approx(full.pressure, rel=0.03)


def test_what_is_shut_stays_shut(network):
    assert not len(lumped(network).paired)
    shut = solve(network).flow == 0
    assert (solve(lumped(network)).flow[shut] == 0).all()
