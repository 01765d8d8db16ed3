"""What moves a valve's lifter: each engine's lobe, from its cam card or from a table read off angle by angle."""

from collections.abc import Callable
from functools import cached_property, lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from upfeed.flow.engines import Engines
from upfeed.knowledge.lobeways import BY_TABLE
from upfeed.knowledge.records import Table
from upfeed.physics import lifttable, timing
from upfeed.physics.resistance import Array

Rows = NDArray[np.intp]

_TURN = 2 * np.pi


class Lobes(Struct, frozen=True, dict=True):
    """The lobe of a valve in every engine: those of cam cards together, those of tables one by one."""

    count: int
    carded: Rows
    card: timing.Lobe | None
    tables: dict[Table, Rows]

    def lift(self) -> Array:
        """The highest lift, m: [V, 1, 1]."""
        return self._filled(1, lambda card: card.lift, lambda table: max(lift for _, lift in table))

    def half_width(self) -> Array:
        """Half of the cam's turn, rad, during which the lifter is lifted: [V, 1, 1]."""
        return self._filled(
            1, lambda card: card.half_width, lambda table: lifttable.half_width(*_columns(table))
        )

    def flank(self, states: int) -> Array:
        """Lifts, m, at the middles of even shares of the half width, nose first, one flank for both: [V, 1, T]."""
        within = (np.arange(states) + 0.5) / states
        return self._filled(
            states,
            lambda card: timing.lift_at(within * card.half_width, card),
            lambda table: _flank(table, states),
        )

    @cached_property
    def over_turn(self) -> Array:
        """Lift, m, at every one of `timing.CAM_ANGLES`, the nose at 0; a table's is its highest reading: [V, 1, T]."""
        angles = timing.CAM_ANGLES
        lift = self._filled(angles.size, lambda card: timing.lift_at(angles, card), _over_turn)
        lift.flags.writeable = False
        return lift

    @cached_property
    def stands(self) -> tuple[Array, Rows]:
        """The different stands of all lifters in `over_turn`, m, and which of them each angle has: [V, 1, S] and [T].

        A lifter stands still for most of a turn.
        """
        numbers: dict[bytes, int] = {}
        angles = np.ascontiguousarray(self.over_turn[:, 0].T)
        at = np.array([numbers.setdefault(angle.tobytes(), len(numbers)) for angle in angles])
        _, first = np.unique(at, return_index=True)
        return self.over_turn[..., first], at

    def lift_at(self, angle: Array) -> Array:
        """Lift, m, at angles of the cam from the nose on, rad: [V, P, 1] each."""
        within = (angle + np.pi) % _TURN - np.pi
        lift = np.empty((self.count, *angle.shape[1:]))
        if self.card is not None:
            lift[self.carded] = timing.lift_at(within[self.carded], self.card)
        for table, rows in self.tables.items():
            lift[rows] = _table_at(table, within[rows])
        return lift

    def _filled(
        self,
        width: int,
        of_card: Callable[[timing.Lobe], Array],
        of_table: Callable[[Table], Array | float],
    ) -> Array:
        found = np.empty((self.count, 1, width))
        if self.card is not None:
            found[self.carded] = of_card(self.card)
        for table, rows in self.tables.items():
            found[rows] = of_table(table)
        return found


def lobes_of(engines: Engines, valve: int) -> Lobes:
    """The lobe that moves a valve, in every engine."""
    _, role = engines.plan.valves[valve]
    return engines.once(_named, engines.plan.lobe_of(role))


def _named(engines: Engines, name: str) -> Lobes:
    slot = engines.slot_with("lobes")
    kind = engines.kind(slot)
    given = (kind.lobes or {})[name]
    assert kind.lobes_from is not None
    tabled = np.array(engines.words(slot, 0, kind.lobes_from)) == BY_TABLE
    tables: dict[Table, list[int]] = {}
    for row in np.flatnonzero(tabled).tolist():
        table = engines.variants[row].at(slot, 0)[given.table]
        assert isinstance(table, tuple)
        tables.setdefault(table, []).append(row)
    carded = np.flatnonzero(~tabled)
    card = {argument: engines.numbers(slot, 0, name, carded) for argument, name in given.card.items()}
    return Lobes(
        count=len(engines.variants),
        carded=carded,
        card=timing.lobe(**card) if carded.size else None,
        tables={table: np.array(rows) for table, rows in tables.items()},
    )


def _columns(table: Table) -> tuple[tuple[float, ...], tuple[float, ...]]:
    angle, lift = zip(*table, strict=True)
    return angle, lift


@lru_cache(maxsize=64)  # every valve of a row asks for the same few
def _flank(table: Table, states: int) -> Array:
    flank = lifttable.flank_of(*_columns(table), states)
    flank.flags.writeable = False
    return flank


def _over_turn(table: Table) -> Array:
    return _table_at(table, timing.CAM_ANGLES)


def _table_at(table: Table, from_nose: Array) -> Array:
    """Wherever in the turn the table's angles are counted from."""
    angle, lift = _columns(table)
    nose = float(np.mean([at for at, height in table if height == max(lift)]))
    return lifttable.lift_between((from_nose + nose - angle[0]) % _TURN + angle[0], angle, lift)
