"""What a bench sheet is asked with: the thread of the adjusters, and how the bench catches oil."""

from msgspec import Struct

from upfeed.reading import units
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted

BENCH_PRESSURE = units.parse("40 psi", "pressure")
BENCH_TEMPERATURE = units.parse("40 C", "temperature")
"""Of a bench that nobody describes: warm enough for the engine's own oil to run. Common practice, no source."""


class Bench(Struct, frozen=True):
    """The thread's pitch, m, None where it is not known; pressure, Pa, and temperature, K, of the bench's oil."""

    pitch: float | None = None
    pressure: float = BENCH_PRESSURE
    temperature: float = BENCH_TEMPERATURE


_POSSIBLE = {
    "pitch": ("length", "0.2 mm", "4 mm"),
    "bench-pressure": ("pressure", "0.5 kPa", "20 bar"),
    "bench-temperature": ("temperature", "0 C", "150 C"),
}
"""Pitches of machine screws (ISO 261 goes from 0.2 mm up); pressure and temperature as the lifter's bench readings."""


def read_bench(pitch: str | None, pressure: str | None, temperature: str | None) -> Bench:
    """As a shop writes them: `1.25 mm`, or `1/24 in` for 24 threads an inch; what is left out is as in `Bench`.

    Raises DataFaults with everything that is none, or beyond what is possible.
    """
    faults: list[Fault] = []
    given = {"pitch": pitch, "bench-pressure": pressure, "bench-temperature": temperature}
    read = {name: _read(name, text, faults) for name, text in given.items() if text is not None}
    if faults:
        raise DataFaults(faults)
    named = {name.removeprefix("bench-"): value for name, value in read.items() if value is not None}
    return Bench(**named)


def _read(name: str, text: str, faults: list[Fault]) -> float | None:
    quantity, low, high = _POSSIBLE[name]
    place = Origin(file="command line")
    try:
        value = units.parse(text, quantity)
    except units.UnitFault as fault:
        faults.append(Fault(place, f"--{name}", fault.found, fault.expected, fault.advice))
        return None
    if not units.parse(low, quantity) <= value <= units.parse(high, quantity):
        faults.append(Fault(place, f"--{name}", quoted(text), f"{low} to {high}"))
    return value
