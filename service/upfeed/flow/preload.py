"""Preload left at each operating point, from the lengths, materials and temperatures between cam and rocker."""

import numpy as np

from upfeed.flow.engines import Engines
from upfeed.knowledge.vocabulary import Member
from upfeed.physics.resistance import Array
from upfeed.physics.stack import EXPANSION, growth
from upfeed.physics.stack import hot_preload as preload_left


def hot_preload(engines: Engines, valve: int) -> Array:
    """Cold preload less the growth of the gap that lifter and pushrod stand in, m: [V, P].

    The members are the vocabulary's `stack` of settings. Not above zero: no preload is left.
    """
    stack = engines.vocabulary.kinds["settings"].stack
    assert stack is not None
    cold = engines.numbers("settings", valve, stack.cold)[:, :, 0]
    assembled = engines.numbers("settings", valve, stack.assembled_at)[:, :, 0]
    parting = [_growth(engines, valve, m, assembled) for m in stack.members if m.opens]
    following = [_growth(engines, valve, m, assembled) for m in stack.members if not m.opens]
    left = preload_left(cold, parting, following)
    return np.broadcast_to(left, (len(engines.variants), len(engines.points)))


def _growth(engines: Engines, valve: int, member: Member, assembled: Array) -> Array:
    warm = engines.at_points(member.warms_to)[:, :, 0]
    slot, _, name = member.length.partition(".")
    length = engines.numbers(slot, valve, name)[:, :, 0]
    return growth(_expansion(engines, valve, member.material), length, warm, assembled)


def _expansion(engines: Engines, valve: int, term: str) -> Array:
    slot, _, name = term.partition(".")
    return np.array([[EXPANSION[word]] for word in engines.words(slot, valve, name)])
