"""Preload left when the engine is warm, from the materials, lengths and temperatures between cam and rocker."""

import numpy as np

from upfeed.engines import Engines
from upfeed.resistance import Array
from upfeed.stack import EXPANSION


def hot_preload(engines: Engines, valve: int) -> Array:
    """Cold preload less the growth of the gap that lifter and pushrod stand in, m: [V, P].

    Members that hold rocker and cam apart open the gap as they grow, the others fill it (`stack` in the
    vocabulary of settings). Not positive: no preload is left.
    """
    stack = engines.vocabulary.kinds["settings"].stack
    assert stack is not None
    cold = engines.numbers("settings", valve, stack.cold)[:, :, 0]
    assembled = engines.numbers("settings", valve, stack.assembled_at)[:, :, 0]
    growth = np.zeros((len(engines.variants), len(engines.points)))
    for member in stack.members:
        warmed = engines.at_points(member.warms_to)[:, :, 0] - assembled
        grown = _expansion(engines, valve, member.material) * _length(engines, valve, member.length) * warmed
        growth += grown if member.opens else -grown
    return cold - growth


def _expansion(engines: Engines, valve: int, term: str) -> Array:
    slot, _, name = term.partition(".")
    return np.array([[EXPANSION[word]] for word in engines.words(slot, valve, name)])


def _length(engines: Engines, valve: int, term: str) -> Array:
    slot, _, name = term.partition(".")
    return engines.numbers(slot, valve, name)[:, :, 0]
