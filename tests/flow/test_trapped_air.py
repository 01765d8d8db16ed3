"""Nothing stored beyond a timed passage: every state of the turn by itself, the same ones only once."""

import numpy as np
import pytest
from msgspec.structs import replace

from upfeed.flow.drawn import drawn
from upfeed.flow.solve import solve
from upfeed.flow.survey import survey
from upfeed.flow.trapped_air import nothing_stored


@pytest.fixture(scope="module")
def circuit(library, sheet_of):
    """The six in draws that differ in how long the journal opens the way."""
    six = survey(sheet_of(family="dunmere-six"), library.knowledge, library.vocabulary)
    return drawn(six, library.vocabulary, 6).limits[0].circuit


def state_by_state(circuit):
    """Every squeezed state of the timed branch held in turn, weighted as the turn has it."""
    network = circuit.network
    (timed,) = [
        i
        for i, branch in enumerate(circuit.branches)
        if any(way.passage == "head_feed" for way in branch.chain.ways)
    ]
    flow = np.zeros(network.weight.shape[:2])
    for state in range(network.weight.shape[2]):
        weight = network.weight.copy()
        weight[:, timed, :] = np.eye(weight.shape[2])[state]
        flow += network.weight[:, timed, [state]] * solve(replace(network, weight=weight)).flow
    return flow


def test_states_that_are_alike_may_be_solved_once(circuit):
    unstored = nothing_stored(circuit)
    assert unstored.converged.all()
    assert unstored.flow == pytest.approx(state_by_state(circuit), rel=1e-9, abs=1e-18)


def test_an_engine_without_a_timed_passage_has_no_other_limit(library, sheet_of):
    v8 = survey(sheet_of(), library.knowledge, library.vocabulary)
    assert nothing_stored(v8.facts.circuit) is None
