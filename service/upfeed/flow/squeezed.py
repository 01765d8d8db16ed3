"""The laws of a branch over the turn of the camshaft, squeezed into the states that the solver takes.

A branch is what stands in a row, then a pair of ways side by side (a metering disc's notch and the gap under it). What
runs beside a stretch of its row (a lifter's second band) is added up with it angle by angle before the squeeze.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from upfeed.flow.branches import Branch, Make, Stage
from upfeed.flow.network import Mask
from upfeed.flow.squeeze import squeeze, squeeze_beside, squeezed_weights
from upfeed.physics.resistance import Array, Resistance, Ways, in_series

Variants = NDArray[np.intp]
"""Numbers of variants."""

_NO_WAY = Resistance(np.array(np.inf), np.array(0.0))
_NOTHING = Resistance(np.zeros((1, 1, 1)), np.zeros((1, 1, 1)))


class Fluid(NamedTuple):
    """What flows: viscosity [Pa s], density [kg/m3] and the highest gallery pressure [Pa], [V, P, 1] each."""

    mu: Array
    rho: Array
    pressure: Array


class Squeezed(NamedTuple):
    """A branch's law at every case and squeezed state: all in a row, and the two ways of a pair. [C, K]."""

    series: Resistance
    first: Resistance
    second: Resistance


def squeezed_makes(branches: tuple[Branch, ...], fluid: Fluid) -> dict[Make, Squeezed]:
    """Each make's turn squeezed once, however many branches there are of it."""
    made = {branch.make: branch for branch in branches}
    return {make: squeezed(branch, fluid, paired=bool(pair_of(branch))) for make, branch in made.items()}


def squeezed(branch: Branch, fluid: Fluid, *, paired: bool) -> Squeezed:
    """A branch's turn squeezed. Raises ValueError where it holds more than one pair of ways side by side."""
    shape = *fluid.mu.shape[:2], squeezed_weights(branch.turn.weight).shape[-1]
    pair = (_every_case(squeeze_law(law(branch), fluid), shape) for law in (_first, _second))
    first, second = pair if paired else (_NO_WAY, _NO_WAY)
    return Squeezed(_every_case(_series(branch, fluid, shape), shape), first, second)


def pair_of(branch: Branch) -> tuple[Stage, ...]:
    """The stage that is a pair of ways, if there is one."""
    pairs = tuple(stage for stage in branch.stages if stage.second is not None)
    if len(pairs) > 1:
        raise ValueError(f"{branch.chain.steps}: more than one pair of ways side by side in a row")
    return pairs


def beside_of(branch: Branch) -> tuple[Ways, Variants]:
    """Both rows of the stretch that another one runs beside, and the numbers of variants in which both let oil by."""
    first, last = branch.chain.beside
    if not branch.side:
        return Ways(_NOTHING, _NO_WAY), np.zeros(0, dtype=np.intp)
    rows = Ways(
        *(in_series(*(stage.first for stage in of)) for of in (branch.stages[first:last], branch.side))
    )
    both = np.isfinite(rows.second.a).any(axis=(1, 2))
    return rows, np.flatnonzero(both)


def rest_of(branch: Branch) -> Resistance:
    """What stands in a row, without the stretch that another row runs beside and without a pair of ways."""
    first, last = branch.chain.beside
    others = (*branch.stages[:first], *branch.stages[last:])
    return in_series(_NOTHING, *(stage.first for stage in others if stage.second is None))


def _series(branch: Branch, fluid: Fluid, shape: tuple[int, ...]) -> Resistance:
    """All that stands in a row, and with it the first of a pair whose second way is shut: [V, 1 or P, 1 or K]."""
    alone = [_where(_shut_beside(stage), stage.first) for stage in pair_of(branch)]
    single = [stage.first for stage in branch.stages if stage.second is None]
    series = squeeze_law(in_series(*single, *alone), fluid)
    rows, sided = beside_of(branch)
    if not len(sided):
        return series
    rest = in_series(rest_of(branch), *alone)
    oil = Fluid(*(x[sided] for x in fluid))
    beside = Ways(*(of_variants(row, sided) for row in rows))
    fitted = squeeze_beside(of_variants(rest, sided), beside, oil.pressure, oil.mu, oil.rho)
    return _put(series, fitted, sided, shape)


def of_variants(law: Resistance, variants: Variants) -> Resistance:
    """Of some variants."""
    return Resistance(*(c[variants] if c.shape[0] > 1 else c for c in law))


def _put(law: Resistance, changed: Resistance, variants: Variants, shape: tuple[int, ...]) -> Resistance:
    into = Resistance(*(np.broadcast_to(c, shape).copy() for c in law))
    for whole, part in zip(into, changed, strict=True):
        whole[variants] = part
    return into


def _first(branch: Branch) -> Resistance:
    """The first of a pair of ways, or no resistance at all where the branch has none."""
    for stage in pair_of(branch):
        return _where(~_shut_beside(stage), stage.first)
    return _NOTHING


def _second(branch: Branch) -> Resistance:
    for stage in pair_of(branch):
        return stage.second or _NO_WAY
    return Resistance(np.full((1, 1, 1), np.inf), np.zeros((1, 1, 1)))


def _shut_beside(stage: Stage) -> Mask:
    """States in which a pair is one way only, where that is so all over the lobe.

    What stands in a row has to be squeezed as one: by itself the rest would count as open where the one way
    is what holds the oil back.
    """
    shut = np.isinf((stage.second or _NO_WAY).a)
    clamped: Mask = shut & shut[..., 1:].all(axis=-1, keepdims=True)
    return clamped


def _where(counts: Mask, law: Resistance) -> Resistance:
    """The law where it counts, elsewhere no resistance at all."""
    return Resistance(np.where(counts, law.a, 0.0), np.where(counts, law.b, 0.0))


def squeeze_law(law: Resistance, fluid: Fluid) -> Resistance:
    """A law over the turn at the squeezed states; as it is where it never changes."""
    return law if law.a.shape[-1] == 1 else squeeze(law, fluid.pressure, fluid.mu, fluid.rho)


def _every_case(law: Resistance, shape: tuple[int, ...]) -> Resistance:
    """Every case, of variants and points, at every squeezed state of a shape [V, P, K]: [C, K]."""
    a, b = (np.broadcast_to(c, shape).reshape(-1, shape[-1]) for c in law)
    return Resistance(a, b)
