"""What can be measured, and the exact size of every unit a shop writes it in.

Exact by definition: the inch is 25.4 mm and the pound 0.45359237 kg (international yard and pound agreement,
1959), standard gravity 9.80665 m/s2 (3rd CGPM, 1901), the US gallon 231 cubic inches; all as in NIST SP 811
(2008), appendix B.8.
"""

import math
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from msgspec import Struct

_INCH = Fraction(127, 5000)
_POUND_FORCE = Fraction(45_359_237, 10**8) * Fraction(980_665, 10**5)
_LITRE = Fraction(1, 1000)
_GALLON = 231 * _INCH**3
_BAR = Fraction(10**5)
_PI = Fraction(math.pi)
_MINUTE = 60


class Quantity(Struct, frozen=True):
    """What a value measures: powers of (kg, m, s, K), SI unit in UCUM, default shop unit and its SI side."""

    name: str
    dimension: tuple[int, int, int, int]
    ucum: str
    shop: str
    si: str


class Unit(Struct, frozen=True):
    """One unit: SI value = (number + zero) * size, with the zero in the unit's own degrees."""

    symbol: str
    size: Fraction
    zero: Fraction = Fraction(0)


def _by_name(*quantities: Quantity) -> Mapping[str, Quantity]:
    return MappingProxyType({quantity.name: quantity for quantity in quantities})


QUANTITIES = _by_name(
    Quantity("length", (0, 1, 0, 0), "m", "in", "mm"),
    Quantity("area", (0, 2, 0, 0), "m2", "mm2", "mm2"),
    Quantity("volume", (0, 3, 0, 0), "m3", "L", "L"),
    Quantity("pressure", (1, -1, -2, 0), "Pa", "psi", "bar"),
    Quantity("flow", (0, 3, -1, 0), "m3/s", "L/min", "L/min"),
    Quantity("kinematic_viscosity", (0, 2, -1, 0), "m2/s", "cSt", "cSt"),
    Quantity("dynamic_viscosity", (1, -1, -1, 0), "Pa.s", "cP", "cP"),
    Quantity("density", (1, -3, 0, 0), "kg/m3", "kg/m3", "kg/m3"),
    Quantity("temperature", (0, 0, 0, 1), "K", "C", "C"),
    Quantity("ratio", (0, 0, 0, 0), "1", "", ""),
    Quantity("count", (0, 0, 0, 0), "1", "", ""),
    Quantity("angle", (0, 0, 0, 0), "rad", "deg", "deg"),
    Quantity("rotational_speed", (0, 0, -1, 0), "rad/s", "rpm", "rpm"),
    Quantity("displacement", (0, 3, 0, 0), "m3", "cm3/rev", "cm3/rev"),
    Quantity("slip", (0, 3, 0, 0), "m3", "m3", "m3"),
    Quantity("relief_slope", (-1, 4, 1, 0), "m3/s/Pa", "L/min/bar", "L/min/bar"),
    Quantity("time", (0, 0, 1, 0), "s", "s", "s"),
)

_SIZES: dict[str, dict[str, Fraction]] = {
    "length": {
        "in": _INCH,
        "thou": _INCH / 1000,
        "mm": Fraction(1, 1000),
        "um": Fraction(1, 10**6),
        "cm": Fraction(1, 100),
        "m": Fraction(1),
        "ft": 12 * _INCH,
    },
    "area": {"mm2": Fraction(1, 10**6), "in2": _INCH**2, "m2": Fraction(1)},
    "volume": {
        "mL": _LITRE / 1000,
        "L": _LITRE,
        "cm3": _LITRE / 1000,
        "US qt": _GALLON / 4,
        "US gal": _GALLON,
        "in3": _INCH**3,
        "m3": Fraction(1),
    },
    "pressure": {
        "psi": _POUND_FORCE / _INCH**2,
        "bar": _BAR,
        "kPa": Fraction(1000),
        "MPa": Fraction(10**6),
        "Pa": Fraction(1),
    },
    "flow": {
        "L/min": _LITRE / _MINUTE,
        "mL/min": _LITRE / 1000 / _MINUTE,
        "US gal/min": _GALLON / _MINUTE,
        "mm3/s": Fraction(1, 10**9),
        "cm3/s": Fraction(1, 10**6),
        "m3/s": Fraction(1),
        "L/h": _LITRE / 3600,
    },
    "kinematic_viscosity": {"cSt": Fraction(1, 10**6), "mm2/s": Fraction(1, 10**6), "m2/s": Fraction(1)},
    "dynamic_viscosity": {"cP": Fraction(1, 1000), "mPa.s": Fraction(1, 1000), "Pa.s": Fraction(1)},
    "density": {"kg/m3": Fraction(1), "g/cm3": Fraction(1000)},
    "temperature": {"C": Fraction(1), "F": Fraction(5, 9), "K": Fraction(1)},
    "ratio": {"": Fraction(1), "%": Fraction(1, 100)},
    "count": {"": Fraction(1)},
    "angle": {"deg": _PI / 180, "rad": Fraction(1)},
    "rotational_speed": {"rpm": 2 * _PI / _MINUTE, "rad/s": Fraction(1)},
    "displacement": {
        "cm3/rev": _LITRE / 1000,
        "mL/rev": _LITRE / 1000,
        "in3/rev": _INCH**3,
        "m3/rev": Fraction(1),
    },
    "slip": {"m3": Fraction(1)},
    "relief_slope": {"L/min/bar": _LITRE / _MINUTE / _BAR, "m3/s/Pa": Fraction(1)},
    "time": {"s": Fraction(1), "ms": Fraction(1, 1000), "min": Fraction(_MINUTE)},
}
_ZEROS = {"C": Fraction(27315, 100), "F": Fraction(45967, 100)}

UNITS: Mapping[str, Mapping[str, Unit]] = MappingProxyType(
    {
        quantity: MappingProxyType(
            {symbol: Unit(symbol, size, _ZEROS.get(symbol, Fraction(0))) for symbol, size in sizes.items()}
        )
        for quantity, sizes in _SIZES.items()
    }
)

SI_SIDE = MappingProxyType(
    {
        "in": "mm",
        "thou": "mm",
        "ft": "m",
        "in2": "mm2",
        "in3": "cm3",
        "US qt": "L",
        "US gal": "L",
        "psi": "bar",
        "US gal/min": "L/min",
        "F": "C",
        "in3/rev": "cm3/rev",
    }
)
