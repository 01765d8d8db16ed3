"""Preload of every valve, cold and at each operating point: as set or as the heights make it, and what it leaves."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from upfeed.flow.engines import Engines
from upfeed.knowledge.vocabulary import Member, Stack
from upfeed.physics import stack as physics
from upfeed.physics.resistance import Array
from upfeed.physics.stack import EXPANSION, at_the_cup, growth

Known = NDArray[np.bool_]

BY_HEIGHTS = "heights"
"""The choice by which preload follows from the heights of the parts."""

# Ten thou, by which the trade steps pushrods.
_PUSHROD_STEP = 10 * 25.4e-6


class _Parts(NamedTuple):
    """What adds to preload, and what takes from it, m."""

    following: list[Array]
    parting: list[Array]


def cold_preload(engines: Engines, valve: int) -> tuple[Array, Known]:
    """Preload of the cold engine, m: [V], known everywhere. Below zero it is lash."""
    cold = _cold(engines, valve)
    return cold, np.ones(cold.shape, dtype=bool)


def hot_preload(engines: Engines, valve: int) -> tuple[Array, Known]:
    """Cold preload less the growth of the gap that lifter and pushrod stand in, m: [V, P], known everywhere."""
    left = preload_left(engines, valve)
    return left, np.ones(left.shape, dtype=bool)


def preload_left(engines: Engines, valve: int) -> Array:
    """Preload at each point, m: [V, P]. The members are the vocabulary's `stack` of settings.

    Not above zero: no preload is left.
    """
    return engines.once(_left, engines.like(valve))


def _left(engines: Engines, valve: int) -> Array:
    return _warmed(engines, valve, _cold(engines, valve))


def plunger_travel_left(engines: Engines, valve: int) -> tuple[Array, Known]:
    """How far the plunger can still go down at each point, m: [V, P], and where there is a plunger."""
    slot, _, name = _stack(engines).travel.partition(".")
    travel = engines.numbers(slot, valve, name)[:, :, 0]
    left = physics.travel_left(travel, preload_left(engines, valve))
    known = np.broadcast_to(engines.has(slot, valve, name)[:, None], left.shape)
    return left, known


def preload_per_pushrod(engines: Engines, valve: int) -> tuple[Array, Known]:
    """What ten thou more of pushrod add to the cold preload, m: [V]; nothing where it is set anew at the rocker."""
    gained = np.where(_by_heights(engines, valve), _PUSHROD_STEP, 0.0)
    return gained, np.ones(gained.shape, dtype=bool)


def required_pushrod_length(engines: Engines, valve: int) -> tuple[Array, Known]:
    """Length of the pushrod that gives the preload wanted, as warm as each point makes it, m: [V, P].

    Wanted is what the settings say, else the reference's. It is for the heights as they are given, so that it is known
    only where all of them are.
    """
    stack = _stack(engines)
    slot, _, name = stack.pushrod.partition(".")
    length = engines.numbers(slot, valve, name)[:, :, 0]
    rod = next(m for m in stack.members if m.length == stack.pushrod)
    assembled = engines.numbers("settings", valve, stack.assembled_at)[:, :, 0]
    stretch = _growth(engines, valve, rod, assembled) / np.where(length > 0, length, 1.0)
    wanted = _wanted(engines, valve)
    preload = _warmed(engines, valve, _from_heights(engines, valve))
    needed = physics.needed_length(length, preload, wanted, stretch)
    return needed, np.broadcast_to(_heights_known(engines, valve)[:, None], needed.shape)


def _wanted(engines: Engines, valve: int) -> Array:
    """The preload that a pushrod is to give at each point, m: [V, P]."""
    name = _stack(engines).wanted
    said = engines.has("settings", valve, name)[:, None]
    cold = engines.numbers("settings", valve, name)[:, 0, 0]
    return np.where(said, _warmed(engines, valve, cold), preload_left(engines, valve)[-1])


def _stack(engines: Engines) -> Stack:
    stack = engines.vocabulary.kinds["settings"].stack
    assert stack is not None
    return stack


def _cold(engines: Engines, valve: int) -> Array:
    as_set = engines.numbers("settings", valve, _stack(engines).cold)[:, 0, 0]
    return np.where(_by_heights(engines, valve), _from_heights(engines, valve), as_set)


def _by_heights(engines: Engines, valve: int) -> Known:
    by_heights: Known = np.array(engines.words("settings", valve, _stack(engines).comes_from)) == BY_HEIGHTS
    return by_heights


def _members(engines: Engines, valve: int) -> Iterator[Member]:
    """Those that count at a valve; an engine without a part (a gasket, say) has no height of it."""
    lobe = engines.plan.lobe_of(engines.plan.valves[valve][1])
    for member in _stack(engines).members:
        if member.lobe in (None, lobe) and member.length.partition(".")[0] in engines.plan.slots:
            yield member


def _from_heights(engines: Engines, valve: int) -> Array:
    """Cold preload as the heights make it, m: [V]; without meaning where one is not known."""
    heights = _Parts([], [])
    for member in _members(engines, valve):
        if not member.grows_only:
            height = _through(engines, valve, member, _length(engines, valve, member))
            (heights.following if member.adds else heights.parting).append(height[:, 0])
    return physics.cold_preload(*heights)


def _heights_known(engines: Engines, valve: int) -> Known:
    known = [
        engines.has(slot, valve, name)
        for slot, _, name in (m.length.partition(".") for m in _members(engines, valve) if not m.grows_only)
    ]
    all_known: Known = np.all(known, axis=0)
    return all_known


def _warmed(engines: Engines, valve: int, cold: Array) -> Array:
    assembled = engines.numbers("settings", valve, _stack(engines).assembled_at)[:, :, 0]
    grown = _Parts([], [])
    for member in _members(engines, valve):
        if member.material is not None:
            more = _through(engines, valve, member, _growth(engines, valve, member, assembled))
            (grown.following if member.adds else grown.parting).append(more)
    left = physics.hot_preload(cold[:, None], grown.parting, grown.following)
    return np.broadcast_to(left, (len(engines.variants), len(engines.points)))


def _through(engines: Engines, valve: int, member: Member, change: Array) -> Array:
    """What a change of a member does at the rocker's cup."""
    if not member.lever:
        return change
    slot, _, name = _stack(engines).ratio.partition(".")
    return at_the_cup(change, engines.numbers(slot, valve, name)[:, :, 0])


def _length(engines: Engines, valve: int, member: Member) -> Array:
    slot, _, name = member.length.partition(".")
    return engines.numbers(slot, valve, name)[:, :, 0]


def _growth(engines: Engines, valve: int, member: Member, assembled: Array) -> Array:
    warm = engines.at_points(str(member.warms_to))[:, :, 0]
    length = _length(engines, valve, member)
    return growth(_expansion(engines, valve, str(member.material)), length, warm, assembled)


def _expansion(engines: Engines, valve: int, term: str) -> Array:
    """Of the material that a part's attribute names, or of a material itself: [V, 1]."""
    slot, dot, name = term.partition(".")
    words = engines.words(slot, valve, name) if dot else (term,) * len(engines.variants)
    return np.array([[EXPANSION[word]] for word in words])
