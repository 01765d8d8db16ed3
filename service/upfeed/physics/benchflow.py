"""What calipers cannot measure: a lifter's metering from the oil it lets by on a bench."""

import numpy as np
from numpy.typing import NDArray

from upfeed.physics.holes import THIN_PLATE_LOSS
from upfeed.physics.resistance import Array, Numbers, Resistance, flow

Mask = NDArray[np.bool_]

# Newton steps from above close in on the root of a rising, hollow curve; eight are enough for 16 digits.
MOST_STEPS = 60


def passes_alone(pressure: Numbers, rest: Resistance, mu: Numbers, rho: Numbers) -> Array:
    """Flow, m3/s, that the rest of a lifter would pass with no metering in it: more can't be measured.

    `pressure` in Pa over the whole lifter, `rest` the resistance of everything else in a row, `mu` in Pa s and
    `rho` in kg/m3 of the bench's oil.
    """
    return flow(pressure, rest, mu, rho)


def bench_opening(
    volume: Numbers, time: Numbers, pressure: Numbers, rest: Resistance, mu: Numbers, rho: Numbers
) -> Array:
    """Area, m2, of the `opening` without length that meters as a lifter did on a bench.

    ``dp - a mu Q - b rho Q² = 24 mu Q/d³ + 1.6 rho Q²/(2 A²)``, Q = volume/time, A = pi d²/4: what the rest of the
    lifter leaves of the pressure is the opening's. `volume` of one lifter in m3, caught in `time`, s; the others
    as in `passes_alone`; all broadcast. No oil caught: 0, no way.
    ValueError where as much was caught as the rest of the lifter lets by alone, or more; where nothing pressed, or
    no time passed.
    Range: laminar; a clamped disc, or whatever meters always. Source: the laws `opening` and `hole`.
    Example: no rest, b left out: 1e-6 m3/s at 1e5 Pa and 0.01 Pa s: d³ = 24 * 0.01 * 1e-6/1e5, d = 0.1339 mm.
    """
    if not np.all(np.asarray(time) > 0):
        raise ValueError(f"found oil caught in {np.min(time):.4g} s; expected some time; check the watch")
    caught = np.divide(volume, time)
    left = _left(caught, pressure, rest, mu, rho)
    sound = (caught >= 0) & (left > 0)
    if not np.all(sound):
        raise ValueError(_too_much(caught, pressure, passes_alone(pressure, rest, mu, rho), sound))
    return np.pi / 4 * _diameter(24 * mu * caught / left, _inertia(caught, rho) / left) ** 2


def _left(caught: Array, pressure: Numbers, rest: Resistance, mu: Numbers, rho: Numbers) -> Array:
    """Pressure, Pa, left for the metering; what passes where there is no way took all of it."""
    shut = ~np.isfinite(rest.a)
    lost = (np.where(shut, 0.0, rest.a) * mu + rest.b * rho * caught) * caught
    left: Array = np.where(shut & (caught > 0), 0.0, pressure - lost)
    return left


def _inertia(caught: Array, rho: Numbers) -> Array:
    """Pressure, Pa m4, over the fourth power of the diameter."""
    inertia: Array = THIN_PLATE_LOSS / 2 * rho * (4 / np.pi * caught) ** 2
    return inertia


def _diameter(viscous: Array, inertial: Array) -> Array:
    """The positive root of ``d⁴ = viscous d + inertial``, from above; 0 where both are 0."""
    d = np.cbrt(viscous) + inertial**0.25
    for _ in range(MOST_STEPS):
        slope = 4 * d**3 - viscous
        step = (d**4 - viscous * d - inertial) / np.where(d > 0, slope, 1.0)
        if np.all(np.abs(step) <= 1e-15 * d):
            break
        d = d - step
    return np.asarray(d, dtype=float)


def _too_much(caught: Array, pressure: Numbers, most: Array, sound: Mask) -> str:
    """Say which reading, the first of however many, no metering can explain."""
    columns = np.broadcast_arrays(caught, pressure, most)
    wrong = ~np.broadcast_to(sound, columns[0].shape)
    q, dp, least = (float(column[wrong][0]) for column in columns)
    return (
        f"found {q * 6e7:.4g} mL/min at {dp / 1e5:.4g} bar; expected less than the"
        f" {least * 6e7:.4g} mL/min that the rest of the lifter passes without its metering, at some pressure; check"
        " jug, gauge, feed hole and the oil's temperature"
    )
