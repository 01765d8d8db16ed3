"""Go and no-go sizes for a hole, in the steps in which pins and drills lie in a shop's drawer."""

from fractions import Fraction
from math import ceil, floor
from typing import Literal

from msgspec import Struct

from upfeed.reading import units

System = Literal["metric", "inch"]

_INCH = Fraction(254, 10_000)
_PINS: dict[System, Fraction] = {"metric": Fraction(1, 100_000), "inch": _INCH / 1000}
_DRILLS: dict[System, Fraction] = {"metric": Fraction(1, 10_000), "inch": _INCH / 64}
"""Steps, m: pins by 0.01 mm and by a thou, drills by 0.1 mm and by 1/64 in. Common practice, no source."""

_ON_A_STEP = 1e-6
"""Of a step: what a size in floating point may be off one that it is meant to be."""


class Pins(Struct, frozen=True, forbid_unknown_fields=True):
    """A pin that every hole within its tolerance takes, and one that none does: diameters in m; go null: none so small.

    `tool` is what they are.
    """

    system: System
    tool: Literal["pin", "drill"]
    go: float | None
    no_go: float
    go_shown: str
    no_go_shown: str


def pins(diameter: float, tolerance: float, tool: Literal["pin", "drill"]) -> list[Pins]:
    """The pair of each system of units for a hole of a `diameter` give or take a `tolerance`, m.

    Go is the largest step not above the smallest hole, no-go the smallest step not below the largest. Where both would
    be one and the same, a hole without tolerance just on a step, no-go is the next.
    """
    steps = _DRILLS if tool == "drill" else _PINS
    return [_pair(diameter, tolerance, tool, system, float(step)) for system, step in steps.items()]


def _pair(
    diameter: float, tolerance: float, tool: Literal["pin", "drill"], system: System, step: float
) -> Pins:
    go = floor((diameter - tolerance) / step + _ON_A_STEP)
    no_go = max(ceil((diameter + tolerance) / step - _ON_A_STEP), go + 1)
    return Pins(
        system=system,
        tool=tool,
        go=go * step if go > 0 else None,
        no_go=no_go * step,
        go_shown=_shown(go, system, tool) if go > 0 else "none so small",
        no_go_shown=_shown(no_go, system, tool),
    )


def _shown(count: int, system: System, tool: str) -> str:
    if system == "inch":
        return _sixty_fourths(count) if tool == "drill" else f"{count / 1000:.3f} in"
    return units.show(count / (10_000 if tool == "drill" else 100_000), "length", "mm", 6)


def _sixty_fourths(count: int) -> str:
    whole, rest = divmod(count, 64)
    part = str(Fraction(rest, 64)) if rest else ""
    return f"{' '.join(filter(None, [str(whole) if whole else '', part]))} in"
