"""Even draws between 0 and 1, one row for each key, the same whatever other keys there are.

A Latin hypercube (McKay, Beckman and Conover 1979): of N draws one falls into each N-th of the range, in an order
of its own for every key, which the key alone decides. A low-discrepancy sequence would tie a key's draws to its
place among the others; so the same part would be drawn anew beside another.
"""

import hashlib
from functools import lru_cache

import numpy as np

from upfeed.physics.resistance import Array

_SPARE = 11  # of 64 random bits, a float holds 53


@lru_cache(maxsize=4096)  # the same parts are drawn for build after build
def strata(key: str, count: int) -> Array:
    """`count` draws [N] in (0, 1), one in each N-th of it.

    From the raw bits of a generator, which numpy keeps the same between its versions (NEP 19).
    """
    seed = int.from_bytes(hashlib.sha256(key.encode()).digest()[:16], "big")
    bits = np.random.PCG64(seed).random_raw(2 * count)
    order = np.argsort(bits[:count], kind="stable")
    within = ((bits[count:] >> _SPARE) + 0.5) * 2.0**-53
    draws: Array = (order + within) / count
    draws.flags.writeable = False
    return draws
