"""Every unit against two outside authorities.

- pint's own registry of units (its definitions follow NIST SP 811 and the 1959 yard and pound agreement).
- NIST Special Publication 811 (2008), appendix B.8, figures of seven digits, from memory.
"""

import pint
import pytest

from upfeed.reading.units import QUANTITIES, parse, show, to_unit, units_of

REGISTRY = pint.UnitRegistry()

PINT_NAMES = {
    "length": {
        "in": "inch",
        "thou": "thou",
        "mm": "millimeter",
        "um": "micrometer",
        "cm": "centimeter",
        "m": "meter",
        "ft": "foot",
    },
    "area": {"mm2": "millimeter**2", "in2": "inch**2", "m2": "meter**2"},
    "volume": {
        "mL": "milliliter",
        "L": "liter",
        "cm3": "centimeter**3",
        "US qt": "US_liquid_quart",
        "US gal": "US_liquid_gallon",
        "in3": "inch**3",
        "m3": "meter**3",
    },
    "pressure": {
        "psi": "force_pound/inch**2",
        "bar": "bar",
        "kPa": "kilopascal",
        "MPa": "megapascal",
        "Pa": "pascal",
    },
    "flow": {
        "L/min": "liter/minute",
        "mL/min": "milliliter/minute",
        "US gal/min": "US_liquid_gallon/minute",
        "mm3/s": "millimeter**3/second",
        "cm3/s": "centimeter**3/second",
        "m3/s": "meter**3/second",
        "L/h": "liter/hour",
    },
    "kinematic_viscosity": {"cSt": "centistokes", "mm2/s": "millimeter**2/second", "m2/s": "meter**2/second"},
    "dynamic_viscosity": {"cP": "centipoise", "mPa.s": "millipascal*second", "Pa.s": "pascal*second"},
    "density": {"kg/m3": "kilogram/meter**3", "g/cm3": "gram/centimeter**3"},
    "temperature": {"C": "degC", "F": "degF", "K": "kelvin"},
    "angle": {"deg": "degree", "rad": "radian"},
    "rotational_speed": {"rpm": "revolution/minute", "rad/s": "radian/second"},
    "displacement": {
        "cm3/rev": "centimeter**3/turn",
        "mL/rev": "milliliter/turn",
        "in3/rev": "inch**3/turn",
        "m3/rev": "meter**3/turn",
    },
    "slip": {"m3": "meter**3"},
    "relief_slope": {"L/min/bar": "liter/minute/bar", "m3/s/Pa": "meter**3/second/pascal"},
    "time": {"s": "second", "ms": "millisecond", "min": "minute"},
    "ratio": {"": "dimensionless", "%": "percent"},
    "count": {"": "dimensionless"},
}

PINT_SI = {
    "1": "dimensionless",
    "m": "meter",
    "m2": "meter**2",
    "m3": "meter**3",
    "Pa": "pascal",
    "m3/s": "meter**3/second",
    "m2/s": "meter**2/second",
    "Pa.s": "pascal*second",
    "kg/m3": "kilogram/meter**3",
    "K": "kelvin",
    "rad": "radian",
    "rad/s": "radian/second",
    "m3/s/Pa": "meter**3/second/pascal",
    "s": "second",
}

UNITS = [(quantity, unit) for quantity, names in PINT_NAMES.items() for unit in names]


def in_pint(amount: float, quantity: str, unit: str) -> float:
    si = "meter**3/turn" if quantity == "displacement" else PINT_SI[QUANTITIES[quantity].ucum]
    return float(REGISTRY.Quantity(amount, PINT_NAMES[quantity][unit]).to(si).magnitude)


@pytest.mark.parametrize(("quantity", "unit"), UNITS)
@pytest.mark.parametrize("amount", [1, 7, 212])
def test_every_unit_agrees_with_pint(quantity: str, unit: str, amount: int) -> None:
    expected = in_pint(amount, quantity, unit)
    assert parse(f"{amount} {unit}", quantity) == pytest.approx(expected, rel=1e-12, abs=0)
    assert to_unit(expected, unit) == pytest.approx(amount, rel=1e-12, abs=0)


def test_no_unit_goes_without_a_comparison() -> None:
    assert {name: set(units_of(name)) for name in QUANTITIES} == {
        q: set(names) for q, names in PINT_NAMES.items()
    }


@pytest.mark.parametrize("quantity", sorted(PINT_NAMES))
def test_the_dimension_agrees_with_pint(quantity: str) -> None:
    unit = REGISTRY.Unit(PINT_NAMES[quantity][next(iter(PINT_NAMES[quantity]))])
    powers = unit.dimensionality
    expected = tuple(int(powers.get(f"[{base}]", 0)) for base in ("mass", "length", "time", "temperature"))
    assert QUANTITIES[quantity].dimension == expected


# NIST SP 811 (2008), B.8: "to convert from ... to ..., multiply by", seven digits, from memory.
SP_811 = [
    ("length", "in", 2.54e-2),
    ("length", "thou", 2.54e-5),
    ("length", "ft", 3.048e-1),
    ("area", "in2", 6.4516e-4),
    ("volume", "in3", 1.638706e-5),
    ("volume", "US qt", 9.463529e-4),
    ("volume", "US gal", 3.785412e-3),
    ("flow", "US gal/min", 6.309020e-5),
    ("pressure", "psi", 6.894757e3),
    ("pressure", "bar", 1e5),
    ("kinematic_viscosity", "cSt", 1e-6),
    ("dynamic_viscosity", "cP", 1e-3),
    ("rotational_speed", "rpm", 1.047198e-1),
    ("angle", "deg", 1.745329e-2),
]


@pytest.mark.parametrize(("quantity", "unit", "factor"), SP_811)
def test_the_factors_of_the_national_standard(quantity: str, unit: str, factor: float) -> None:
    # Seven digits: the last of them may be half a unit off, at worst 5e-7 of a figure that begins with a one.
    assert parse(f"1 {unit}", quantity) == pytest.approx(factor, rel=5e-7)


# NIST SP 811 (2008), B.8: t/K = t/C + 273.15; t/K = (t/F + 459.67)/1.8. From memory.
@pytest.mark.parametrize(
    ("text", "kelvin"),
    [("0 C", 273.15), ("100 C", 373.15), ("32 F", 273.15), ("212 F", 373.15), ("-40 F", 233.15)],
)
def test_temperatures_have_their_own_zero(text: str, kelvin: float) -> None:
    assert parse(text, "temperature") == pytest.approx(kelvin, rel=1e-14)


def test_forty_below_is_the_same_on_both_scales() -> None:
    assert show(parse("-40 F", "temperature"), "temperature", "C") == "-40 C"
