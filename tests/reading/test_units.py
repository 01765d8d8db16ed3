import math
import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.reading.units import (
    QUANTITIES,
    UnitFault,
    parse,
    parse_difference,
    quantity_of_dimension,
    show,
    show_difference,
    shown_in,
    to_unit,
    units_of,
)

INCH = 0.0254  # m, exact: international yard and pound agreement, 1959
UNITS = [(quantity, unit) for quantity in QUANTITIES if quantity != "count" for unit in units_of(quantity)]


def fault(text: str, quantity: str) -> UnitFault:
    with pytest.raises(UnitFault) as caught:
        parse(text, quantity)
    return caught.value


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("5/16 in", 0.3125),
        ("1 1/2 in", 1.5),
        ("-1 1/2 in", -1.5),
        ("1/2in", 0.5),
        ("0.052 in", 0.052),
        (".052 in", 0.052),
        ("+0.052in", 0.052),
        ("-0.052 in", -0.052),
        ("5.2e-2 in", 0.052),
        ("52 thou", 0.052),
        ("  0.052   in ", 0.052),
    ],
)
def test_lengths_as_a_shop_writes_them(text: str, inches: float) -> None:
    assert parse(text, "length") == pytest.approx(inches * INCH, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "quantity", "value"),
    [
        ("1/2", "ratio", 0.5),
        ("85 %", "ratio", 0.85),
        ("85%", "ratio", 0.85),
        ("1.9", "ratio", 1.9),
        ("16", "count", 16.0),
    ],
)
def test_bare_numbers(text: str, quantity: str, value: float) -> None:
    assert parse(text, quantity) == value


def test_metric_values_are_the_nearest_floats() -> None:
    assert parse("21.4 mm", "length") == 0.0214
    assert parse("0.3 mm", "length") == 0.0003
    assert parse("30 cSt", "kinematic_viscosity") == 30e-6


def test_nought_has_no_sign() -> None:
    assert math.copysign(1.0, parse("-0 thou", "length")) == 1.0


UNREADABLE = [
    "", " ", "in", "nan mm", "inf mm", "-inf mm", "infinity", "1..2 mm", "1.2.3 mm", "1. mm", "--1 mm",
    "1 2 mm", "1/2/3 in", "1 1 1/2 in", "5/ 16 in", "1.5/2 in", "mm 5", "5\nmm", "5\u00a0mm",
    "\u0661 mm", "1" * 200 + " mm",
]  # fmt: skip


@pytest.mark.parametrize("text", UNREADABLE)
def test_what_is_no_quantity_is_refused(text: str) -> None:
    assert "a length in in, thou, mm" in fault(text, "length").expected


@pytest.mark.parametrize("text", ["1e400 mm", "-1e400 mm", "1e308 m", "1e-400 mm", "0.001e-300 m"])
def test_sizes_beyond_floating_point_are_refused(text: str) -> None:
    assert "beyond any size" in fault(text, "length").found


@pytest.mark.parametrize("text", ["5/0 in", "1 3/2 in", "1 2/2 in"])
def test_broken_fractions_are_refused(text: str) -> None:
    assert "no fraction" in fault(text, "length").found


@pytest.mark.parametrize("text", ["1.5", "1/2", "50 %", "3 rpm"])
def test_counts_are_whole(text: str) -> None:
    assert fault(text, "count").expected == "a bare whole number"


def test_a_missing_unit_is_asked_for() -> None:
    told = fault("0.052", "length")
    assert told.found == '"0.052" without a unit'
    assert told.advice == "Write 0.052 in, if that is what was meant."


def test_a_unit_of_another_quantity_is_named_as_such() -> None:
    assert fault("28 psi", "length").found == '"28 psi", a pressure'
    assert fault("3 m3", "length").found == '"3 m3", a volume or a slip'
    assert fault("3 mm2", "length").found == '"3 mm2", an area'


@pytest.mark.parametrize(
    ("text", "quantity", "advice"),
    [
        ("0.052 inch", "length", "Did you mean in?"),
        ("3 MM", "length", "Did you mean mm"),
        ("28 PSI", "pressure", "Did you mean psi?"),
        ("1.5 US gal/m", "flow", "Did you mean US gal/min"),
        ("1.5 l/min", "flow", "Did you mean L/min"),
        ("28 PSI", "length", "Did you mean psi"),
        ("1,5 mm", "length", "Write decimals with a point."),
        ("0.052 furlong", "length", ""),
    ],
)
def test_an_unknown_unit_is_met_with_the_nearest(text: str, quantity: str, advice: str) -> None:
    told = fault(text, quantity)
    assert "in an unknown unit" in told.found
    assert told.advice.startswith(advice)
    assert bool(told.advice) == bool(advice)


def test_a_fault_reads_as_a_sentence() -> None:
    assert (
        str(fault("28 psi", "temperature"))
        == 'found "28 psi", a pressure; expected a temperature in C, F or K.'
    )


@pytest.mark.parametrize(
    ("text", "quantity", "unit", "digits", "shown"),
    [
        ("0.052 in", "length", "in", 3, "0.052 in"),
        ("0.0525 in", "length", "in", 3, "0.0525 in"),
        ("0.02 in", "length", "thou", 3, "20 thou"),
        ("28.2 psi", "pressure", "psi", 3, "28.2 psi"),
        ("28.249 psi", "pressure", "psi", 3, "28.2 psi"),
        ("1.9", "ratio", "", 3, "1.9"),
        ("0.86", "ratio", "%", 2, "86 %"),
        ("1.25", "ratio", "", 2, "1.3"),
        ("9.996", "ratio", "", 3, "10"),
        ("1025 rpm", "rotational_speed", "rpm", 3, "1025 rpm"),
        ("6500 rpm", "rotational_speed", "rpm", 2, "6500 rpm"),
        ("100 C", "temperature", "F", 3, "212 F"),
        ("32 F", "temperature", "C", 3, "0 C"),
        ("0 thou", "length", "thou", 3, "0 thou"),
        ("-20 thou", "length", "thou", 3, "-20 thou"),
        ("1.2e-13 m3", "slip", "m3", 3, "1.2e-13 m3"),
        ("1e-13 m3", "slip", "m3", 1, "1e-13 m3"),
        ("100 m3/s", "flow", "mm3/s", 3, "1e11 mm3/s"),
        ("16", "count", "", 3, "16"),
    ],
)
def test_shown_with_no_more_digits_than_asked(
    text: str, quantity: str, unit: str, digits: int, shown: str
) -> None:
    assert show(parse(text, quantity), quantity, unit, digits) == shown


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_never_shown(value: float) -> None:
    with pytest.raises(ValueError, match="cannot be shown as a length"):
        show(value, "length", "mm")


def test_a_foreign_unit_is_never_shown() -> None:
    with pytest.raises(UnitFault, match="a length in"):
        show(1.0, "length", "psi")
    with pytest.raises(UnitFault, match="Did you mean psi"):
        to_unit(1.0, "PSI")


@given(
    st.sampled_from(UNITS),
    st.integers(1, 6),
    st.floats(1e-90, 1e90).flatmap(lambda size: st.sampled_from([size, -size, 0.0])) | st.floats(-1e4, 1e4),
)
def test_what_is_shown_reads_back_within_its_digits(
    pair: tuple[str, str], digits: int, number: float
) -> None:
    quantity, unit = pair
    value = parse(f"{number!r} {unit}", quantity) if abs(number) > 1e-90 else parse(f"0 {unit}", quantity)
    exact = to_unit(value, unit)
    back = to_unit(parse(show(value, quantity, unit, digits), quantity), unit)
    half_a_digit = 0.5 * 10.0 ** (math.floor(math.log10(abs(exact))) - digits + 1) if exact else 0.0
    assert abs(back - exact) <= half_a_digit * (1 + 1e-6) + 1e-9 * (quantity == "temperature")


@given(st.sampled_from(UNITS), st.integers(1, 6), st.floats(1e-5, 1e8))
def test_usual_sizes_are_shown_plainly(pair: tuple[str, str], digits: int, number: float) -> None:
    quantity, unit = pair
    shown = show(parse(f"{number!r} {unit}", quantity), quantity, unit, digits).removesuffix(unit).strip()
    assert re.fullmatch(r"-?(0|[1-9]\d*)(\.\d*[1-9])?", shown) or abs(number) < 1.1e-5
    decimals = Decimal(shown).as_tuple()
    assert len(decimals.digits) <= digits or decimals.exponent == 0


@given(st.text(max_size=70), st.sampled_from(sorted(QUANTITIES)))
def test_any_text_is_either_a_number_or_a_fault(text: str, quantity: str) -> None:
    try:
        value = parse(text, quantity)
    except UnitFault as told:
        value, text = 0.0, str(told)
    assert math.isfinite(value)
    assert text.isprintable()


def test_differences_of_temperature_have_no_zero() -> None:
    assert parse_difference("5 C", "temperature") == 5.0
    assert parse_difference("9 F", "temperature") == 5.0
    assert parse_difference("0.1 mm", "length") == parse("0.1 mm", "length")


def test_the_metric_side_of_shop_units() -> None:
    assert [shown_in(unit) for unit in ("in", "thou", "psi", "F", "mm", "rpm", "")] == [
        "mm", "mm", "bar", "C", "mm", "rpm", "",
    ]  # fmt: skip


@pytest.mark.parametrize("quantity", sorted(QUANTITIES))
def test_every_quantity_is_shown_in_units_of_its_own(quantity: str) -> None:
    record = QUANTITIES[quantity]
    assert record.name == quantity
    assert record.si == shown_in(record.shop)
    for unit in units_of(quantity):
        assert shown_in(unit) in units_of(quantity)


@pytest.mark.parametrize(
    ("dimension", "quantity"),
    [
        ((0, 1, 0, 0), "length"),
        ((0, 3, 0, 0), "volume"),
        ((0, 0, 0, 0), "ratio"),
        ((1, -1, -2, 0), "pressure"),
        ((7, 0, 0, 0), None),
    ],
)
def test_the_plainest_quantity_of_a_dimension(
    dimension: tuple[int, int, int, int], quantity: str | None
) -> None:
    assert quantity_of_dimension(dimension) == quantity


def test_a_unit_means_the_same_in_every_quantity() -> None:
    sizes: dict[str, set[float]] = {}
    for quantity in QUANTITIES:
        for unit in units_of(quantity):
            sizes.setdefault(unit, set()).add(parse(f"7 {unit}", quantity))
    assert {unit: found for unit, found in sizes.items() if len(found) > 1} == {}


@pytest.mark.parametrize(
    ("size", "quantity", "unit", "told"),
    [
        (5.0, "temperature", "C", "5 C"),
        (5.0, "temperature", "F", "9 F"),
        (25.4e-6, "length", "thou", "1 thou"),
    ],
)
def test_a_difference_is_shown_without_the_unit_s_zero(size, quantity, unit, told):
    assert show_difference(size, quantity, unit) == told
