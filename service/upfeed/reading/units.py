"""The only converter: text a shop writes to SI numbers and back."""

import math
import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from msgspec import Struct

from upfeed.reading.faults import quoted
from upfeed.reading.nearest import did_you_mean, either
from upfeed.reading.quantities import QUANTITIES, SI_SIDE, UNITS, Quantity, Unit

__all__ = [
    "QUANTITIES",
    "Quantity",
    "UnitFault",
    "parse",
    "parse_difference",
    "quantity_of_dimension",
    "show",
    "show_difference",
    "shown_in",
    "to_unit",
    "units_of",
]

LONGEST = 60  # characters
SMALLEST, LARGEST = 1e-99, 1e99  # far beyond any use, and far from where floating point runs out
_WRITTEN = re.compile(
    r" *(?:([+-]?(?:\d+(?:\.\d+)?|\.\d+)(?:[eE][+-]?\d+)?)(?![\d./])"  # 0.052, .052, 1e-3
    r"|([+-]?)(?:(\d+) +)?(\d+)/(\d+)(?![\d./]))"  # 5/16, 1 1/2
    r" *([^\d\s.](?:.*\S)?)? *",
    re.ASCII,
)


_COMMA = "Write decimals with a point."


class UnitFault(ValueError):  # noqa: N818 - named as data faults are
    """Text that is not the quantity asked for: what was found, what was expected, what to do."""

    def __init__(self, found: str, expected: str, advice: str = "") -> None:
        self.found, self.expected, self.advice = found, expected, advice
        told = f"found {found}; expected {expected}."
        super().__init__(f"{told} {advice}" if advice else told)


class _Scale(Struct, frozen=True):
    """A unit in floating point: SI value = (number + zero) * times / over, each correctly rounded."""

    zero: float
    times: float
    over: float


def _scale(unit: Unit) -> _Scale:
    size = unit.size
    exact = max(size.numerator, size.denominator) < 2**53
    times, over = (float(size.numerator), float(size.denominator)) if exact else (float(size), 1.0)
    return _Scale(float(unit.zero), times, over)


_SCALES = {
    quantity: {symbol: _scale(unit) for symbol, unit in units.items()} for quantity, units in UNITS.items()
}
_SCALE_OF = {symbol: scale for scales in _SCALES.values() for symbol, scale in scales.items()}


def _article(noun: str) -> str:
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun.replace('_', ' ')}"


def _wanted(quantity: str) -> str:
    if quantity == "count":
        return "a bare whole number"
    if quantity == "ratio":
        return "a bare number or a percentage"
    return f"{_article(quantity)} in {either(units_of(quantity))}"


def _unreadable(text: str, quantity: str) -> UnitFault:
    return UnitFault(quoted(text), _wanted(quantity), _COMMA if "," in text else "")


def _unit_meant(unit: str, likely: tuple[str, ...]) -> str:
    return did_you_mean(unit, filter(None, likely)) or did_you_mean(unit, filter(None, _SCALE_OF))


def _unsuitable(text: str, unit: str, quantity: str) -> UnitFault:
    written = quoted(text)
    if not unit:
        advice = f"Write {text.strip()} {QUANTITIES[quantity].shop}, if that is what was meant."
        return UnitFault(f"{written} without a unit", _wanted(quantity), advice)
    owners = [_article(name) for name, units in UNITS.items() if unit in units]
    if owners:
        return UnitFault(f"{written}, {either(owners)}", _wanted(quantity))
    advice = _COMMA if unit.startswith(",") else _unit_meant(unit, units_of(quantity))
    return UnitFault(f"{written}, in an unknown unit", _wanted(quantity), advice)


def _number(match: re.Match[str], quantity: str) -> float:
    decimal, sign, whole, top, bottom, _ = match.groups()
    if decimal:
        number = float(decimal)
        lost = number == 0.0 and decimal.lower().partition("e")[0].strip("+-0.")
        if lost or not (number == 0.0 or SMALLEST <= abs(number) <= LARGEST):
            raise UnitFault(f"{quoted(match[0])}, beyond any size", _wanted(quantity))
        return number
    if int(bottom) == 0 or (whole and int(top) >= int(bottom)):
        raise UnitFault(f"{quoted(match[0])}, which is no fraction", _wanted(quantity), "Write 1 1/2, say.")
    number = float(int(whole or 0) + Fraction(int(top), int(bottom)))
    return -number if sign == "-" else number


def _read(text: str, quantity: str) -> tuple[float, _Scale]:
    match = _WRITTEN.fullmatch(text) if len(text) <= LONGEST else None
    if match is None:
        raise _unreadable(text, quantity)
    unit = match[6] or ""
    scale = _SCALES[quantity].get(unit)
    if scale is None:
        raise _unsuitable(text, unit, quantity)
    number = _number(match, quantity)
    if quantity == "count" and not number.is_integer():
        raise UnitFault(quoted(text), _wanted(quantity))
    return number, scale


def parse(text: str, quantity: str) -> float:
    """Return the SI value of a quantity as a shop writes it: "0.052 in", "1 1/2 in", "85 %".

    Raises UnitFault for text that is not that quantity with a unit of its own.
    """
    number, scale = _read(text, quantity)
    return (number + scale.zero) * scale.times / scale.over


def parse_difference(text: str, quantity: str) -> float:
    """Return the SI size of a difference, such as a tolerance: "5 C" is 5 K here. Raises UnitFault."""
    number, scale = _read(text, quantity)
    return number * scale.times / scale.over


def to_unit(value: float, unit: str) -> float:
    """Return an SI value as a number of `unit`. Raises UnitFault for an unknown unit."""
    scale = _SCALE_OF.get(unit)
    if scale is None:
        raise UnitFault(
            f"the unit {quoted(unit)}", "a known unit", did_you_mean(unit, filter(None, _SCALE_OF))
        )
    number = value * scale.over / scale.times - scale.zero
    # Taking the zero away leaves the rounding of the sum behind: 32 F would come out as 5.7e-14 C.
    return round(number, 9) if scale.zero else number


def _plain(number: float, digits: int) -> str:
    exact = Decimal(f"{number:.11e}")  # twelve digits: what the conversion rounded off is not shown
    places = max(digits - 1 - exact.adjusted(), 0)
    text = f"{exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP):f}"
    return text.rstrip("0").rstrip(".") if places else text


def _scientific(number: float, digits: int) -> str:
    mantissa, _, power = f"{number:.{digits - 1}e}".partition("e")
    return f"{mantissa.rstrip('0').rstrip('.') if digits > 1 else mantissa}e{int(power)}"


def show(value: float, quantity: str, unit: str, digits: int = 3) -> str:
    """Return an SI value in words: "0.052 in", "28.2 psi", "1.9".

    `digits` significant digits, without noughts at the end; whole digits are never rounded away ("1025 rpm").
    Raises ValueError for NaN or infinity, UnitFault for a unit of another quantity.
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be shown as {_article(quantity)}")
    if unit not in UNITS[quantity]:
        raise UnitFault(f"the unit {quoted(unit)}", _wanted(quantity))
    number = to_unit(value, unit)
    usual = number == 0.0 or 1e-5 <= abs(number) < 1e9
    text = _plain(number, digits) if usual else _scientific(number, digits)
    return f"{text} {unit}" if unit else text


def show_difference(size: float, quantity: str, unit: str, digits: int = 3) -> str:
    """Return the SI size of a difference, such as a tolerance, in words: 5 K is "5 C" here."""
    scale = _SCALE_OF[unit]
    return show(size + scale.zero * scale.times / scale.over, quantity, unit, digits)


def shown_in(unit: str) -> str:
    """Return the metric unit shown where `unit` is shown in the shop: in and thou give mm, psi gives bar."""
    return SI_SIDE.get(unit, unit)


def units_of(quantity: str) -> tuple[str, ...]:
    """Return the units a quantity may be written in, the commonest first; "" is a bare number."""
    return tuple(UNITS[quantity])


def quantity_of_dimension(dimension: tuple[int, int, int, int]) -> str | None:
    """Return the plainest quantity of these powers of (kg, m, s, K), or None where there is none."""
    return next((name for name, quantity in QUANTITIES.items() if quantity.dimension == dimension), None)
