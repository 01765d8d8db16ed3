"""Facts of the way down by name: what each is of the oil's return, and where it is known."""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from upfeed.flow.returning import Returned
from upfeed.flow.valley import Valley

Known = NDArray[np.bool_]
Found = tuple[NDArray[Any], Known]


def _everywhere(of: Callable[[Returned], NDArray[Any]]) -> Callable[[Returned], Found]:
    return lambda returned: (values := of(returned), np.ones(values.shape, dtype=bool))


def _where_there(of: Callable[[Valley], NDArray[Any]]) -> Callable[[Returned], Found]:
    """Of a valley, in engines that have one."""
    return lambda returned: (of(returned.valley), returned.valley.there)


def _valley_state(returned: Returned) -> NDArray[Any]:
    valley = returned.valley
    return np.where(valley.there, np.where(valley.flooded, "flooded", "draining"), "none")


def _time_to_bare(returned: Returned) -> Found:
    ends = returned.bare & np.isfinite(returned.time_to_bare)
    return np.where(ends, returned.time_to_bare, 0.0), ends


RETURN_FACTS: Mapping[str, Callable[[Returned], Found]] = {
    "drain_capacity": _everywhere(lambda returned: returned.capacity),
    "quiet_drain_capacity": _everywhere(lambda returned: returned.quiet_capacity),
    "cover_state": _everywhere(lambda returned: np.where(returned.flooded, "flooded", "draining")),
    "cover_depth": _everywhere(lambda returned: returned.depth),
    "oil_held_up": _everywhere(lambda returned: returned.held_up),
    "valley_state": _everywhere(_valley_state),
    "valley_flow": _where_there(lambda valley: valley.inflow),
    "valley_drain_capacity": _where_there(lambda valley: valley.capacity),
    "valley_depth": _where_there(lambda valley: valley.depth),
    "oil_in_valley": _everywhere(lambda returned: returned.valley.held),
    "oil_in_transit": _everywhere(lambda returned: returned.in_transit),
    "oil_over_pickup": _everywhere(lambda returned: returned.over_pickup),
    "pickup_state": _everywhere(lambda returned: np.where(returned.bare, "bare", "covered")),
    "time_to_bare": _time_to_bare,
}
"""Values [V, P] and where they are known."""
