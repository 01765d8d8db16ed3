"""One passage followed by two ways side by side: the pressure between them, the flow through all three."""

import numpy as np

from upfeed.physics.resistance import Array, Numbers, Passage, Resistance, Ways, flow, in_series, passage

# Share of dp below which a step is rounding: the noise of a balance of flows stays under 4e-15 of dp.
SETTLED = 1e-14
# Halving alone settles in 50; Newton takes four or five on ordinary passages.
MOST_STEPS = 120
# Halvings of a pressure down to the last bit.
HALVINGS = 60


def flow_through_pair(
    dp: Numbers, series: Resistance, first: Resistance, second: Resistance, mu: Numbers, rho: Numbers
) -> tuple[Array, Array]:
    """Flow, m3/s, and its derivative, m3/(s Pa), through `series`, then `first` and `second` side by side.

    All arguments broadcast: dp in Pa (odd: the flow turns round with it), mu in Pa s, rho in kg/m3. Any of
    the three may be no way. The two ways share the pressure left to them, found by `pressure_over_pair`.
    """
    dp = np.asarray(dp, dtype=float)
    mu, rho = np.asarray(mu, dtype=float), np.asarray(rho, dtype=float)
    whole = np.abs(dp)
    over_pair = np.abs(pressure_over_pair(dp, series, first, second, mu, rho))
    ahead, slope_ahead = passage(series, mu, rho).at(whole - over_pair)
    one, slope_one = passage(first, mu, rho).at(over_pair)
    other, slope_other = passage(second, mu, rho).at(over_pair)
    # The side with more of the pressure is the one rounding hurts least.
    through = np.where(2 * over_pair > whole, one + other, ahead)
    pair = slope_one + slope_other
    slope = slope_ahead * (pair / np.maximum(slope_ahead + pair, np.finfo(float).tiny))
    return np.copysign(through, dp), slope


def pressure_over_pair(
    dp: Numbers, series: Resistance, first: Resistance, second: Resistance, mu: Numbers, rho: Numbers
) -> Array:
    """Pressure, Pa, over the two ways side by side, out of dp over them and the passage before them.

    The root of ``Q_first(p) + Q_second(p) = Q_series(dp - p)``, unique as every flow rises with its pressure.
    Newton steps, halving the bracket wherever one would leave it or has not shrunk it; whole arrays at once.
    Where the passage before is shut the pair has 0; where both ways are shut it has all of dp.
    """
    dp = np.asarray(dp, dtype=float)
    mu, rho = np.asarray(mu, dtype=float), np.asarray(rho, dtype=float)
    whole = np.abs(dp)
    laws = passage(series, mu, rho), passage(first, mu, rho), passage(second, mu, rho)
    p = np.minimum(_alone(whole, series, first, mu, rho), _alone(whole, series, second, mu, rho))
    over_pair: Array = np.copysign(_root(whole, p, *laws), dp)
    return over_pair


def pressure_over_pairs(
    dp: Array, series: Resistance, one: Ways, other: Ways, mu: Array, rho: Array
) -> tuple[Array, Array]:
    """Pressure, Pa, over each of two pairs of ways in a row with the passage `series`, out of dp >= 0 over all three.

    Arguments as in `flow_through_pair`. Halving on the pressure over the first pair, down to the last bit.
    """
    low, high = np.zeros_like(dp), dp.copy()
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        through = flow(middle, one.first, mu, rho) + flow(middle, one.second, mu, rho)
        too_much = through > flow_through_pair(dp - middle, series, *other, mu, rho)[0]
        low, high = np.where(too_much, low, middle), np.where(too_much, middle, high)
    return low, pressure_over_pair(dp - low, series, *other, mu, rho)


def _alone(whole: Array, series: Resistance, way: Resistance, mu: Array, rho: Array) -> Array:
    """Pressure over one of the ways if the other were shut: never less than with both open."""
    through = flow(whole, in_series(series, way), mu, rho)
    open_way = np.isfinite(way.a)
    drop: Array = (np.where(open_way, way.a, 0.0) * mu + way.b * rho * through) * through
    return np.where(open_way, np.minimum(drop, whole), whole)


def _root(whole: Array, p: Array, series: Passage, first: Passage, second: Passage) -> Array:
    low, high = np.zeros_like(p), np.broadcast_to(whole, p.shape)
    step: Array = high
    for _ in range(MOST_STEPS):
        ahead, slope_ahead = series.at(whole - p)
        one, slope_one = first.at(p)
        other, slope_other = second.at(p)
        excess = one + other - ahead
        low, high = np.where(excess < 0, p, low), np.where(excess > 0, p, high)
        newton = -excess / np.maximum(slope_ahead + slope_one + slope_other, np.finfo(float).tiny)
        settled = np.abs(newton) <= SETTLED * whole
        if bool(np.all(settled)):
            break
        aim = p + newton
        # A law bent both ways can make Newton creep or swing; then halving is faster.
        halve = (aim < low) | (aim > high) | (np.abs(newton) > np.abs(step) / 2)
        step = np.where(settled, 0.0, np.where(halve, (low + high) / 2 - p, newton))
        p = p + step
    return p
