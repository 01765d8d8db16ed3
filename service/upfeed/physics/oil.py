"""Engine oil: viscosity and density at a temperature, viscosity index, and the grades it falls in."""

from typing import NamedTuple

import numpy as np

from upfeed.physics.resistance import Array, Numbers

MM2 = 1e-6  # m2/s in a centistoke: the standards count in cSt, the functions here in m2/s
CELSIUS_15, CELSIUS_40, CELSIUS_100 = 288.15, 313.15, 373.15  # K
FAHRENHEIT_60 = (60 + 459.67) / 1.8  # K
# API MPMS 11.1 / ASTM D1250, lubricants: alpha60 = K1/rho60, rho in kg/m3, per degree F.
LUBRICANT_K1 = 0.34878


class Walther(NamedTuple):
    """Line of ASTM D341: ``log10 log10 Z = intercept - slope log10 T``, T in K, Z of the viscosity in cSt."""

    intercept: Array
    slope: Array


def walther(
    viscosity: Numbers, temperature: Numbers, other_viscosity: Numbers, other_temperature: Numbers
) -> Walther:
    """ASTM D341 line through two kinematic viscosities, m2/s, at two temperatures, K.

    Source: ASTM D341. Range: Newtonian oil, 0.21 cSt up, between its cloud point and its boiling.
    Example: 32 cSt at 40 C and 5.4 cSt at 100 C (kelvin 313 and 373): A 9.5259, B 3.7449.
    """
    one, two = _double_log(viscosity), _double_log(other_viscosity)
    cold, hot = np.log10(temperature), np.log10(other_temperature)
    slope = (one - two) / (hot - cold)
    return Walther(one + slope * cold, slope)


def kinematic_viscosity(temperature: Numbers, line: Walther) -> Array:
    """Kinematic viscosity, m2/s, at a temperature, K, on a line of ASTM D341.

    ``nu = Z - exp(-0.7487 - 3.295 Z + 0.6119 Z² - 0.3193 Z³)``, Z less 0.7; the exponential is the standard's
    inverse of the one in `walther`, below 1e-6 of nu from 4 cSt up. Source: ASTM D341.
    Example: 404 cSt at 40 C and 28 at 100 C: 132.13 cSt at 60 C.
    """
    z = 10 ** (10 ** (line.intercept - line.slope * np.log10(temperature))) - 0.7
    nu: Array = z - np.exp(-0.7487 - 3.295 * z + 0.6119 * z**2 - 0.3193 * z**3)
    return nu * MM2


def density(temperature: Numbers, density_15: Numbers) -> Array:
    """Density, kg/m3, at a temperature, K, from that at 15 C, kg/m3, at the pressure of the air.

    By way of the density at 60 F, on which the tables are built: see `density_from_60f`.
    Source: API MPMS 11.1 / ASTM D1250, lubricants. Range: 800-1164 kg/m3, to 150 C.
    Example: 870 kg/m3 at 15 C: about 816 at 100 C.
    """
    at_60 = np.asarray(density_15, dtype=float)
    for _ in range(4):  # 15 C lies one degree F below: each round gains three digits
        at_60 = density_15 / density_from_60f(CELSIUS_15, at_60) * at_60
    return density_from_60f(temperature, at_60)


def density_from_60f(temperature: Numbers, density_60f: Numbers) -> Array:
    """Density, kg/m3, at a temperature, K, from that at 60 F, kg/m3.

    ``rho = rho60 exp(-alpha dT (1 + 0.8 alpha dT))``, alpha = 0.34878/rho60 per F, dT = F - 60.
    Source: API MPMS 11.1 / ASTM D1250, lubricants. Example: 870 at 60 F: 816.14 at 100 C.
    """
    expansion = LUBRICANT_K1 / np.asarray(density_60f, dtype=float) * 1.8 * (temperature - FAHRENHEIT_60)
    warmed: Array = density_60f * np.exp(-expansion * (1 + 0.8 * expansion))
    return warmed


def oil_at(
    temperature: Numbers, viscosity_40: Numbers, viscosity_100: Numbers, density_15: Numbers
) -> tuple[Array, Array]:
    """Dynamic viscosity, Pa s, and density, kg/m3, of an oil at a temperature, K.

    `viscosity_40`, `viscosity_100` kinematic at 40 and 100 C, m2/s; `density_15` at 15 C, kg/m3.
    Source: `kinematic_viscosity` (ASTM D341) times `density` (ASTM D1250).
    Example: 100 and 14 cSt, 870 kg/m3 at 100 C: 14 cSt x 815.5 kg/m3 = 11.4 mPa s.
    """
    rho = density(temperature, density_15)
    line = walther(viscosity_40, CELSIUS_40, viscosity_100, CELSIUS_100)
    return kinematic_viscosity(temperature, line) * rho, rho


def _double_log(viscosity: Numbers) -> Array:
    nu = np.asarray(viscosity, dtype=float) / MM2
    z = nu + 0.7 + np.exp(-1.47 - 1.84 * nu - 0.51 * nu**2)
    doubled: Array = np.log10(np.log10(z))
    return doubled
