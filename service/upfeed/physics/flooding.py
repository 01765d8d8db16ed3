"""Flooding: crankcase gas rising in a drain holds up the oil that should come down it."""

import numpy as np

from upfeed.physics.drains import GRAVITY
from upfeed.physics.resistance import Array, Numbers

# Wallis 1969 (from memory): 0.725 where the tube's ends are sharp, 0.88 to 1 where they are rounded. A drain is drilled
# and its burr taken off, next to sharp: 0.75, an assumption within those. A tube shut on top, which empties as a long
# bubble rises in it, comes out at 0.64 to 0.67 (Dumitrescu 1943, Davies and Taylor 1950).
BROKEN_EDGES = 0.75
# Wallis 1969 (from memory): 5.6 Nf^-1/2 before the liquid's part, measured below Nf = 2; 1 in thin liquids. That it
# holds in between until it falls to 1, at Nf = 31, is an assumption.
THICKNESS = 5.6
# Of dry air, kg/mol, and of any gas, J/(mol K): blow-by is air and burnt air, within some 3 % as heavy.
AIR_MASS, GAS_CONSTANT = 28.96e-3, 8.314462618
ATMOSPHERE = 101325.0  # Pa


def gas_density(temperature: Numbers) -> Array:
    """Density of crankcase gas, kg/m3, at a temperature, K, and the pressure of the air: ``p M/(R T)``.

    Range: a crankcase, some hundred Pa off the air's pressure. Source: ideal gas; taken as dry air.
    Example: 100 C: 101325 * 0.02896/(8.3145 * 373.15) = 0.9458 kg/m3.
    """
    density: Array = ATMOSPHERE * AIR_MASS / (GAS_CONSTANT * np.asarray(temperature, dtype=float))
    return density


def flooding_limit(
    gas: Numbers,
    diameter: Numbers,
    mu: Numbers,
    rho: Numbers,
    gas_rho: Numbers,
    constant: Numbers = BROKEN_EDGES,
) -> Array:
    """Most oil, m3/s, that runs down one drain against gas rising in it, however deep the oil stands.

    ``sqrt(jg*) + m sqrt(jf*) = C``, ``j* = j sqrt(rho/(g D (rho_oil - rho_gas)))``, j flow over the hole's area;
    ``m = max(1, 5.6 Nf^-1/2)``, ``Nf = sqrt(g D³ rho_oil (rho_oil - rho_gas))/mu``.
    `gas` up the one drain, m3/s; `diameter` D, m; `mu` of the oil, Pa s; `rho`, `gas_rho`, kg/m3; `constant` C, 1.
    Range: upright tubes, ends hardly rounded. Downwards nothing runs once sqrt(jg*) reaches C.
    Source: Wallis 1969 (from memory).
    Example: 11 mm, 8.5 mPa s, 816 and 0.946 kg/m3: 1.755e-5 m3/s without gas, 6.27e-6 against 5 L/min of it.
    """
    area = np.pi / 4 * np.square(diameter)
    unit = GRAVITY * diameter * (rho - gas_rho)
    rising = np.asarray(gas) / area * np.sqrt(gas_rho / unit)
    left = np.maximum(constant - np.sqrt(np.maximum(rising, 0.0)), 0.0)
    ease = np.sqrt(rho * unit) * np.asarray(diameter) / mu
    falling = np.square(left / np.maximum(1.0, THICKNESS / np.sqrt(ease)))
    limit: Array = falling * np.sqrt(unit / rho) * area
    return limit
