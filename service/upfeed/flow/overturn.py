"""What goes through a branch in every state of the cam's turn at a known drop, and how that drop parts."""

import numpy as np
from msgspec import Struct

from upfeed.flow.branches import Branch, Stage
from upfeed.flow.squeezed import Variants, beside_of, of_variants, pair_of, rest_of
from upfeed.physics.branch import flow_through_pair, pressure_over_pair, pressure_over_pairs
from upfeed.physics.resistance import Array, Resistance, Ways, flow, in_series


class OverTurn(Struct, frozen=True):
    """Flow through a branch, m3/s, and of that through the stretch that another row runs beside: [V, P, T].

    `over_pair` is the pressure over its pair of ways, Pa, 0 where it has none.
    """

    through: Array
    along: Array
    over_pair: Array

    def drop(self, branch: Branch, number: int, mu: Array, rho: Array) -> Array:
        """Pressure over the stage of this number, Pa."""
        stage, (first, last) = branch.stages[number], branch.chain.beside
        if stage.second is not None:
            return self.over_pair
        return _drop(stage.first, self.along if first <= number < last else self.through, mu, rho)

    def side_drop(self, stage: Stage, mu: Array, rho: Array) -> Array:
        """Pressure over a stage of the row at the side, Pa."""
        return _drop(stage.first, self.through - self.along, mu, rho)


def over_turn(branch: Branch, whole: Array, mu: Array, rho: Array) -> OverTurn:
    """Flow and pressures in every state of the turn, with `whole`, Pa, over the branch: [V, P, 1] each."""
    plain = _plain(branch, whole, mu, rho)
    rows, sided = beside_of(branch)
    if not len(sided):
        return plain
    part = _beside(branch, Ways(*(of_variants(row, sided) for row in rows)), whole, mu, rho, sided)
    arrays = []
    for before, now in zip((plain.through, plain.through, plain.over_pair), part, strict=True):
        into = np.broadcast_to(before, np.broadcast_shapes(before.shape, (len(whole), *now.shape[1:]))).copy()
        into[sided] = now
        arrays.append(into)
    return OverTurn(*arrays)


def _plain(branch: Branch, whole: Array, mu: Array, rho: Array) -> OverTurn:
    """With nothing beside the row."""
    single = [stage.first for stage in branch.stages if stage.second is None]
    series = in_series(*single) if single else Resistance(np.zeros(1), np.zeros(1))
    for stage in pair_of(branch):
        ways = _ways(stage)
        through, _ = flow_through_pair(whole, series, *ways, mu, rho)
        return OverTurn(through, through, pressure_over_pair(whole, series, *ways, mu, rho))
    through = flow(whole, series, mu, rho)
    return OverTurn(through, through, np.zeros((1, 1, 1)))


def _beside(
    branch: Branch,
    rows: Ways,
    whole: Array,
    mu: Array,
    rho: Array,
    sided: Variants,
) -> tuple[Array, Array, Array]:
    """Through both rows, through the main one, and over the pair, in the variants that have both."""
    whole, mu, rho = whole[sided], mu[sided], rho[sided]
    rest = of_variants(rest_of(branch), sided)
    pair = [Ways(*(of_variants(way, sided) for way in _ways(stage))) for stage in pair_of(branch)]
    if not pair:
        over_rows, over_pair = pressure_over_pair(whole, rest, *rows, mu, rho), np.zeros((1, 1, 1))
    else:
        over_rows, over_pair = _over_both(whole, rest, rows, pair[0], mu, rho)
    along = flow(over_rows, rows.first, mu, rho)
    return along + flow(over_rows, rows.second, mu, rho), along, over_pair


def _over_both(
    whole: Array, rest: Resistance, rows: Ways, pair: Ways, mu: Array, rho: Array
) -> tuple[Array, Array]:
    """Pressure over the two rows and over the pair; where its second way is shut the pair is one passage."""
    with_first = in_series(rest, pair.first)
    over_rows = pressure_over_pair(whole, with_first, *rows, mu, rho)
    through = flow(over_rows, rows.first, mu, rho) + flow(over_rows, rows.second, mu, rho)
    over_pair = _drop(pair.first, through, mu, rho)
    double = np.broadcast_to(np.isfinite(pair.second.a), over_rows.shape)
    if double.any():
        dp, mu, rho = (np.broadcast_to(x, double.shape)[double] for x in (whole, mu, rho))
        laws = (
            Resistance(*(np.broadcast_to(c, double.shape)[double] for c in law))
            for law in (rest, *rows, *pair)
        )
        rest, first, second, notch, gap = laws
        both = pressure_over_pairs(dp, rest, Ways(first, second), Ways(notch, gap), mu, rho)
        over_pair = np.broadcast_to(over_pair, double.shape).copy()
        over_rows[double], over_pair[double] = both
    return over_rows, over_pair


def _ways(stage: Stage) -> Ways:
    assert stage.second is not None
    return Ways(stage.first, stage.second)


def _drop(law: Resistance, through: Array, mu: Array, rho: Array) -> Array:
    a = np.where(np.isfinite(law.a), law.a, 0.0)
    drop: Array = (a * mu + law.b * rho * through) * through
    return drop
