"""How much oil a lifter lets by on the bench where no pin or caliper reads what meters."""

from collections.abc import Mapping

from msgspec import Struct

from upfeed.advising.sheet.asking import Bench
from upfeed.advising.sheet.benchsheet import Caught
from upfeed.judging.message import System
from upfeed.knowledge.benches import lets_by, told_size
from upfeed.knowledge.build import Build
from upfeed.knowledge.records import Value
from upfeed.knowledge.vocabulary import Kind, Vocabulary
from upfeed.physics.oil import oil_at
from upfeed.reading import units

CATCH = 60.0
"""s, as a lifter's bench flow is caught."""


class Held(Struct, frozen=True):
    """A bench's pressure, Pa, its oil's temperature, K, the oil as `oil_at` takes it, and what oil it is."""

    pressure: float
    temperature: float
    oil: dict[str, float]
    name: str


def own_bench(kind: Kind, has: Mapping[str, Value]) -> Held | None:
    """The bench that a part was read on; None where its readings are not all given."""
    bench = kind.bench
    if bench is None:
        return None
    pressure, fluid = _numbers(has, {"pressure": bench.pressure}), _numbers(has, bench.fluid)
    if not pressure or len(fluid) < len(bench.fluid):
        return None
    return Held(pressure["pressure"], fluid.pop("temperature"), fluid, "the oil it was read with")


def engines_oil(build: Build, vocabulary: Vocabulary, bench: Bench) -> Held | None:
    """A bench as described, with the oil of a build in it; None where that is not known."""
    for slot in build.family.plan.slots.values():
        takes, filled = vocabulary.kinds[slot.kind].fluid, build.fitted[slot.name][0]
        if takes and filled:
            oil = _numbers(filled.has, takes)
            return (
                Held(bench.pressure, bench.temperature, oil, "the engine's oil")
                if len(oil) == len(takes)
                else None
            )
    return None


def caught(
    kind: Kind, size: str, has: Mapping[str, Value], off: float, held: Held, system: System
) -> Caught | None:
    """Oil caught in a minute with the metering's `size` at either end of its tolerance `off`, by the model's own laws.

    None where a size on the oil's way is missing, or this is not what the bench tells.
    """
    known = {name: value.magnitude for name, value in has.items()}
    middle = known.get(size)
    if told_size(kind, known) != size or not isinstance(middle, float):
        return None
    mu, rho = oil_at(held.temperature, **held.oil)
    least, most = kind.attributes[size].possible or (middle - off, middle + off)
    ends = (max(middle - off, least), min(middle + off, most))
    flows = [lets_by(kind, {**known, size: end}, held.pressure, mu, rho) for end in ends]
    if flows[0] is None or flows[1] is None:
        return None
    low, high = (CATCH * float(flow) for flow in (flows[0], flows[1]))
    return Caught(
        CATCH, low, high, _shown(low, high, held, system), held.pressure, held.temperature, held.name
    )


def _shown(least: float, most: float, held: Held, system: System) -> str:
    low, high = (units.show(end, "volume", "mL", 2) for end in (least, most))
    volume = high if low == high else f"{low.partition(' ')[0]} to {high}"
    pressure = units.show(held.pressure, "pressure", "psi" if system == "shop" else units.shown_in("psi"))
    warmth = units.show(held.temperature, "temperature", "C")
    return f"{volume} in {CATCH:g} s at {pressure}, {held.name} at {warmth}"


def _numbers(has: Mapping[str, Value], takes: Mapping[str, str]) -> dict[str, float]:
    found = {argument: has[name].magnitude for argument, name in takes.items() if name in has}
    return {argument: value for argument, value in found.items() if isinstance(value, float)}
