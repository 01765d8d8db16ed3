"""Go and no-go pins for a hole."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from upfeed.advising.sheet.pinsteps import pins

THOU = 25.4e-6
STEP = {
    ("pin", "metric"): 1e-5,
    ("pin", "inch"): THOU,
    ("drill", "metric"): 1e-4,
    ("drill", "inch"): 0.0254 / 64,
}
SIZES = st.floats(0.2e-3, 20e-3)
SHARES = st.floats(0, 0.2)
TOOLS = st.sampled_from(["pin", "drill"])


def shown(diameter, tolerance, tool="pin"):
    return {pair.system: (pair.go_shown, pair.no_go_shown) for pair in pins(diameter, tolerance, tool)}


@pytest.mark.parametrize(
    ("diameter", "tolerance", "tool", "metric", "inch"),
    [
        # By hand: 0.051 to 0.053 in is 1.2954 to 1.3462 mm.
        (52 * THOU, THOU, "pin", ("1.29 mm", "1.35 mm"), ("0.051 in", "0.053 in")),
        (1.1e-3, 0, "pin", ("1.1 mm", "1.11 mm"), ("0.043 in", "0.044 in")),
        # 1/8 in give or take 3 thou: 7/64 is 0.109 in, 9/64 is 0.141; 3.0988 to 3.2512 mm.
        (125 * THOU, 3 * THOU, "drill", ("3 mm", "3.3 mm"), ("7/64 in", "9/64 in")),
        (27.0e-3, 0.1e-3, "drill", ("26.9 mm", "27.1 mm"), ("1 3/64 in", "1 5/64 in")),
        (5e-6, 1e-6, "pin", ("none so small", "0.01 mm"), ("none so small", "0.001 in")),
    ],
)
def test_pairs_worked_by_hand(diameter, tolerance, tool, metric, inch):
    assert shown(diameter, tolerance, tool) == {"metric": metric, "inch": inch}


@given(SIZES, SHARES, TOOLS)
def test_every_hole_within_its_tolerance_takes_go_and_none_takes_no_go(diameter, share, tool):
    smallest, largest = diameter * (1 - share), diameter * (1 + share)
    for pair in pins(diameter, share * diameter, tool):
        step = STEP[tool, pair.system]
        assert pair.no_go > largest - 2e-6 * step
        assert pair.no_go - largest < step * (1 + 1e-5) + (step if share == 0 else 0)
        if pair.go is not None:
            assert pair.go < smallest + 2e-6 * step
            assert smallest - pair.go < step * (1 + 1e-5)
            assert pair.go < pair.no_go
        else:
            assert smallest < step


@given(SIZES, SHARES, TOOLS)
def test_pins_are_of_the_sizes_that_are_sold(diameter, share, tool):
    for pair in pins(diameter, share * diameter, tool):
        number, unit = pair.no_go_shown.rsplit(" ", 1)
        size = sum(map(Fraction, number.split())) * (
            Fraction(254, 10_000) if unit == "in" else Fraction(1, 1000)
        )
        assert float(size) == pytest.approx(pair.no_go, rel=1e-9)
        steps = float(size) / STEP[tool, pair.system]
        assert steps == pytest.approx(round(steps), abs=1e-6)
