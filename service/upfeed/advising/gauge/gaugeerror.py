"""How far a pressure gauge may be off: what its user says, else what its class allows."""

import numpy as np
from msgspec import Struct

from upfeed.physics.resistance import Array
from upfeed.reading import units
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted

CLASS = 0.016
"""Share of the full scale that a gauge of class 1.6 may be off anywhere on it. Source: EN 837-1, accuracy classes.
That a workshop's gauge is of this class: assumption."""

_BAR = 1e5
RANGES = tuple(_BAR * end for end in (1, 1.6, 2.5, 4, 6, 10, 16, 25, 40, 60, 100, 160, 250, 400, 600, 1000))
"""Full scales, Pa, of EN 837-1 from 0 up, as far as an engine may need them."""

WORKING = 0.75
"""Share of the full scale that a steady pressure may use (EN 837-2, from memory)."""

LEAST = 500.0
"""Pa; nobody reads a dial any better. Assumption."""

_MOST_SHARE = 0.5


class GaugeError(Struct, frozen=True):
    """How far off a reading may be: so much, Pa, and such a share of the reading beside it.

    `full_scale`, Pa, is that of the gauge assumed where nobody says how good theirs is.
    """

    amount: float
    share: float
    full_scale: float | None

    def limits(self, readings: Array) -> Array:
        """How far each reading may be off, Pa."""
        return np.asarray(np.maximum(self.amount + self.share * readings, LEAST))


def gauge_error(written: str | None, highest: float) -> GaugeError:
    """The error as written, `1 psi` or `3 %` of the reading; else that of a gauge good for the `highest` pressure, Pa.

    Raises DataFaults for text that is neither, and for none or half of the reading and more.
    """
    if written is None:
        full = next((end for end in RANGES if end * WORKING >= highest), RANGES[-1])
        return GaugeError(CLASS * full, 0.0, full)
    is_share = written.rstrip().endswith("%")
    expected = 'how far the gauge may be off, as "1 psi", or of the reading, as "3 %"'
    try:
        size = units.parse(written, "ratio" if is_share else "pressure")
    except units.UnitFault as fault:
        raise _fault(fault.found, expected, fault.advice) from fault
    if size <= 0 or (is_share and size >= _MOST_SHARE):
        raise _fault(quoted(written), f"{expected}; more than nothing and less than half of the reading")
    return GaugeError(0.0, size, None) if is_share else GaugeError(size, 0.0, None)


def _fault(found: str, expected: str, advice: str = "") -> DataFaults:
    return DataFaults([Fault(Origin(file="readings"), "--error", found, expected, advice)])
