"""Gauge readings as people write them: "650 rpm, 100 C, 14 psi", with the gauge's place behind where it is another."""

from collections.abc import Callable, Collection, Iterator, Sequence

from msgspec import Struct

from upfeed.knowledge.vocabulary import Attribute, Vocabulary
from upfeed.physics.oil import CELSIUS_15
from upfeed.reading import units
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted
from upfeed.reading.nearest import did_you_mean, either

HOTTEST = CELSIUS_15 + 135
"""Where the oil's density ends: API MPMS 11.1 / ASTM D1250 go to 150 C, see `physics.oil.density`."""

MOST_READINGS = 40
"""More than anybody takes of one engine."""

_FORM = 'as "650 rpm, 100 C, 14 psi", with the gauge\'s place behind it where it is another'
_HIGHEST = 5e7  # Pa, far beyond any oil pump


class GaugeReading(Struct, frozen=True):
    """What was read: crank speed, rad/s; oil temperature, K; pressure over that of the air, Pa; where the gauge is."""

    written: str
    speed: float
    oil_temperature: float
    pressure: float
    port: str


def read_readings(
    texts: Sequence[str], port: str, ports: Collection[str], vocabulary: Vocabulary
) -> tuple[GaugeReading, ...]:
    """Readings from their texts; those that name no place are read at `port`, one of `ports`.

    Raises DataFaults with everything that is wrong in any of them.
    """
    faults: list[Fault] = []
    if port not in ports:
        faults.append(_no_port("--port", port, ports))
    if not 0 < len(texts) <= MOST_READINGS:
        expected = f"one reading at least, {MOST_READINGS} at most, each {_FORM}"
        faults.append(Fault(Origin(file="readings"), "", f"{len(texts)} readings", expected))
    found = [_Text(text, f"reading {i}", faults) for i, text in enumerate(texts[:MOST_READINGS], start=1)]
    readings = [reading for text in found for reading in text.read(port, ports, vocabulary)]
    if faults:
        raise DataFaults(faults)
    return tuple(readings)


def _no_port(path: str, port: str, ports: Collection[str]) -> Fault:
    expected = f"a place where this engine's pressure can be read: {either(list(ports))}"
    return Fault(Origin(file="readings"), path, quoted(port), expected, did_you_mean(port, list(ports)))


class _Text:
    """The text of one reading, and what is wrong in it."""

    def __init__(self, text: str, path: str, faults: list[Fault]) -> None:
        self._text, self._path, self._faults = text, path, faults

    def read(self, port: str, ports: Collection[str], vocabulary: Vocabulary) -> Iterator[GaugeReading]:
        parts = [part.strip() for part in self._text.split(",")]
        if len(self._text) > 4 * units.LONGEST or len(parts) not in (3, 4):
            self._fault(quoted(self._text), f"speed, oil temperature and pressure, {_FORM}")
            return
        before = len(self._faults)
        attributes = vocabulary.kinds["points"].attributes
        speed = self._size(parts[0], "speed", "rotational_speed", self._within(attributes["speed"]))
        warmth = self._size(
            parts[1], "oil temperature", "temperature", self._flows(attributes["oil_temperature"])
        )
        pressure = self._size(parts[2], "pressure", "pressure", self._over_air)
        where = (
            parts[3].removeprefix("at the ").removeprefix("at ").replace(" ", "_")
            if len(parts) == 4
            else port
        )
        if len(parts) == 4 and where not in ports:
            self._faults.append(_no_port(self._path, where, ports))
        if len(self._faults) == before:
            yield GaugeReading(", ".join(parts[:3]), speed, warmth, pressure, where)

    def _size(self, text: str, what: str, quantity: str, check: Callable[[float], str]) -> float:
        try:
            size = units.parse(text, quantity)
        except units.UnitFault as fault:
            self._fault(f"{what} {fault.found}", fault.expected, fault.advice)
            return 0.0
        if expected := check(size):
            self._fault(f"{what} {quoted(text)}", expected)
        return size

    def _within(self, attribute: Attribute) -> Callable[[float], str]:
        low, high = attribute.possible or (0.0, float("inf"))
        ends = [units.show(end, attribute.quantity or "", attribute.shown_in) for end in (low, high)]
        return lambda size: "" if low <= size <= high else f"{ends[0]} to {ends[1]}"

    def _flows(self, attribute: Attribute) -> Callable[[float], str]:
        low = (attribute.possible or (0.0, HOTTEST))[0]
        ends = [units.show(end, "temperature", attribute.shown_in) for end in (low, HOTTEST)]
        expected = f"{ends[0]} to {ends[1]}, beyond which the oil's viscosity and density are not known"
        return lambda size: "" if low <= size <= HOTTEST else expected

    def _over_air(self, size: float) -> str:
        if size < 0:
            return "what a gauge shows over the pressure of the air, 0 psi or more"
        return "" if size <= _HIGHEST else "what an oil pump can give"

    def _fault(self, found: str, expected: str, advice: str = "") -> None:
        self._faults.append(Fault(Origin(file="readings"), self._path, found, expected, advice))
