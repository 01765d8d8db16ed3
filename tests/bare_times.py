"""How long a worn Tarn V8 at top speed has until its pickup is bare, by gas and drains: `python tests/bare_times.py`.

Lifters with large notches and no preload feed the covers; what runs down again hangs on the drains of each head and on
the gas that rises in them.
"""

import math

from tarn_v8 import REFERENCE, engine, facts_of

MM, L_MIN = 1e-3, 1e-3 / 60
THOU = 25.4e-6
GAS = (0, 30, 60, 90, 120)
"""Blow-by of the whole engine, L/min."""

DRAINS = ((2, 11), (3, 11), (4, 11), (3, 13), (4, 14))
"""Open drains of each head, and their diameter, mm; by area, the least first."""

POINT = "top_speed"
WORN = engine({"lifter": "BW-133", "settings.preload": -5 * THOU})


def times() -> dict[tuple[int, int], list[float]]:
    """Seconds until the pickup draws air, by drains and gas; infinite where it never does."""
    changed = [
        {
            "cylinder_head.drain_count": float(count),
            "cylinder_head.drain_diameter": diameter * MM,
            "points.blow_by": gas * L_MIN,
        }
        for count, diameter in DRAINS
        for gas in GAS
    ]
    facts = facts_of(*(engine(change, WORN) for change in changed), REFERENCE, points=(POINT,))
    found = [math.inf if time is None else time for time in facts.column(f"time_to_bare.{POINT}")[:-1]]
    return {drains: found[i * len(GAS) : (i + 1) * len(GAS)] for i, drains in enumerate(DRAINS)}


def table() -> str:
    """The times as a table for reading."""
    head = "drains a head" + "".join(f"{gas:>9} L/min" for gas in GAS)
    rows = (
        f"{count} x {diameter} mm".ljust(13) + "".join(f"{_shown(time):>15}" for time in row)
        for (count, diameter), row in times().items()
    )
    return "\n".join((head, *rows))


def _shown(time: float) -> str:
    return f"{time:.0f} s" if math.isfinite(time) else "never"


if __name__ == "__main__":
    print(table())
