"""Operating points made of readings: an engine that runs at the speed and with the oil that somebody read."""

from collections.abc import Sequence

from msgspec.structs import replace

from upfeed.advising.gauge.readingtext import GaugeReading
from upfeed.flow.gauges import Gauge
from upfeed.knowledge.build import Build
from upfeed.knowledge.records import Value
from upfeed.reading import units
from upfeed.reading.faults import Origin

_LIKE = "temperature"
_STARTER = "cranking_speed"
# How much colder oil makes a point as unlike as another speed of twice as much, K.
_AS_MUCH = 40.0


def at_readings(build: Build, readings: Sequence[GaugeReading]) -> tuple[Build, tuple[Gauge, ...]]:
    """The build at the points of readings, equal ones once, and the gauge of each reading.

    All else is as at the build's most similar point; what is as warm there as it is goes up or down with the oil.
    """
    named: dict[tuple[float, float], str] = {}
    for reading in readings:
        named.setdefault((reading.speed, reading.oil_temperature), f"reading_{len(named) + 1}")
    points = {name: _point(build, *at) for at, name in named.items()}
    gauges = tuple(Gauge(r.port, named[r.speed, r.oil_temperature]) for r in readings)
    return replace(build, points=points), gauges


def _point(build: Build, speed: float, warmth: float) -> dict[str, Value]:
    like = _most_similar(build, speed, warmth)
    warmer = warmth - _number(like["oil_temperature"])
    moved = {n: _read(v, _number(v) + warmer, n) for n, v in like.items() if n.endswith(_LIKE)}
    kept = {name: value for name, value in like.items() if name != _STARTER}
    return kept | moved | {"speed": _read(like["speed"], speed, "speed")}


def _most_similar(build: Build, speed: float, warmth: float) -> dict[str, Value]:
    def unlike(point: dict[str, Value]) -> float:
        own = _number(point["speed"])
        octaves = max(own, speed) / max(min(own, speed), 1e-9) - 1
        return octaves + abs(_number(point["oil_temperature"]) - warmth) / _AS_MUCH

    return min(build.points.values(), key=unlike)


def _read(like: Value, size: float, name: str) -> Value:
    """Somebody read it off the engine; what goes up and down with the oil is as well known as it was."""
    quantity, unit = ("rotational_speed", "rpm") if name == "speed" else ("temperature", "C")
    written = units.show(size, quantity, unit, 4)
    if name in ("speed", "oil_temperature"):
        return Value(size, written, "measured", "", Origin(file="readings"))
    return replace(like, magnitude=size, written=written)


def _number(value: Value) -> float:
    assert isinstance(value.magnitude, float)
    return value.magnitude
