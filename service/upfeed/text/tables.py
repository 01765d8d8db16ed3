"""Tables of an answer for reading: pressures and flows, the pressure ladder, the turn of the cam."""

from collections.abc import Callable, Iterator

from upfeed.answering.answer import Answer, Computed, Rung, SolvedPoint
from upfeed.judging.message import System
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading import units
from upfeed.text.prose import words, wrapped

HEADLINES = (
    "gallery_pressure",
    "pump_delivery",
    "top_end_flow",
    "worst_valve_flow",
    "top_end_share",
    "hot_preload",
    "plunger_travel_left",
    "cover_depth",
    "oil_over_pickup",
    "time_to_bare",
)


_NOT_EVERYWHERE = (
    *("time_to_bare", "plunger_travel_left", "required_pushrod_length"),
    *("valley_flow", "valley_drain_capacity", "valley_depth"),
)
"""Told only where there is something to tell: solid lifters have no plunger, inline engines no valley."""

_DIGITS = {"required_pushrod_length": 4}
"""Pushrods come in steps of ten thou or less."""

_OF_BANDS = ("fed_share", "cut_off_lift")


class Tables:
    """Lays out the numbers of answers in one system of units."""

    def __init__(self, vocabulary: Vocabulary, system: System = "shop") -> None:
        self._vocabulary, self._system = vocabulary, system

    def points(self, answer: Answer) -> Iterator[str]:
        """Every operating point: all consumers of oil at the first, headlines at the others."""
        yield _row("Pressures and flows", "this build", "reference", "times")
        for i, point in enumerate(answer.points):
            if isinstance(point, SolvedPoint):
                yield f"  {words(point.point)}, {point.speed_rpm:g} rpm, oil {point.oil_temperature_c:g} C"
                # Each consumer's oil is shown where the pump is shortest.
                told = (c for c in point.computed if _is_told(c, fully=i == 0))
                yield from (self._compared(c, "-" if _may_lack(c) else "not known") for c in told)
            else:
                yield from wrapped(f"{words(point.point)}: not computed, {point.reason}", "  ")
        yield ""

    def ladder(self, answer: Answer) -> Iterator[str]:
        """The ladder at the first point, once for valves that share it to two digits."""
        first = [rung for rung in answer.path if rung.point == answer.path[0].point]
        by_valves: dict[str, list[Rung]] = {}
        for rung in first:
            by_valves.setdefault(rung.at, []).append(rung)
        alike: dict[tuple[str, ...], list[str]] = {}
        for at, rungs in by_valves.items():
            alike.setdefault(tuple(self._rung(rung, 2) for rung in rungs), []).append(at)
        for ats in alike.values():
            where = "" if len(alike) == 1 else f", {' and '.join(ats)}"
            *above, title = wrapped(f"Pressure ladder at {words(first[0].point)}{where}", width=38)
            yield from above
            yield _step(title, "ahead of it", "of the drop", "1 % wider")
            yield from (self._rung(rung, 3) for rung in by_valves[ats[0]])
            yield ""

    def turn(self, answer: Answer) -> Iterator[str]:
        """How long passages stand open over the turn, at the valve with the least of each."""
        if answer.timing:
            yield _row("Over the turn of the cam", "this build", "reference", "times")
            yield from (self._compared(c, "never") for c in _told_of(answer.timing))
            yield ""

    def preload(self, answer: Answer) -> Iterator[str]:
        """What the heights make of it, cold, at the valve with the least; how it is when hot stands with the points."""
        told = [
            computed for computed in answer.preload if computed.build or computed.reference or computed.band
        ]
        if told:
            yield _row("Preload, cold", "this build", "reference", "times")
            yield from (self._compared(c) for c in told)
            yield ""

    def shown(self, computed: Computed, unknown: str = "not known") -> str:
        """The build's number, its bounds where it has them, or both."""

        def one(value: float | str) -> str:
            return self.one(computed, value)

        return bounded(computed.build, computed.band, one, unknown)

    def one(self, computed: Computed, value: float | str | None, unknown: str = "not known") -> str:
        """A number of a fact's quantity."""
        return self.number(computed.name, value, unknown)

    def number(self, name: str, value: float | str | None, unknown: str = "not known") -> str:
        """A number of the fact of this full name."""
        fact = self._vocabulary.facts.get(name.partition(".")[0])
        if value is None or fact is None or fact.quantity is None:
            return unknown if value is None else str(value)
        assert isinstance(value, float)
        return units.show(value, fact.quantity, self._unit(fact.shown_in), _DIGITS.get(fact.name, 3))

    def _compared(self, computed: Computed, unknown: str = "not known") -> str:
        label = computed.name.removesuffix(f".{computed.point}").removeprefix("consumer_flow.")
        times = "-" if computed.ratio is None else units.show(computed.ratio, "ratio", "")
        reference = self.one(computed, computed.reference, unknown)
        return _row(f"    {words(label)}", self.shown(computed, unknown), reference, times)

    def _rung(self, rung: Rung, digits: int) -> str:
        unit = self._unit(self._vocabulary.facts["gallery_pressure"].shown_in)

        def pressure(value: float | str) -> str:
            return units.show(float(value), "pressure", unit, digits)

        def share(value: float | str) -> str:
            return units.show(float(value), "ratio", "%", 2)

        ahead = bounded(rung.pressure.build, rung.pressure.band, pressure, "not known")
        nothing = "not known" if rung.pressure.band is not None else "no flow"
        part = bounded(rung.share_of_drop.build, rung.share_of_drop.band, share, nothing)
        return _step(f"    {words(rung.place)}", ahead, part, _pull(rung.flow_per_diameter.build))

    def _unit(self, shop: str) -> str:
        return shop if self._system == "shop" else units.shown_in(shop)


def bounded(
    build: float | str | None,
    band: tuple[float, float] | None,
    one: Callable[[float | str], str],
    unknown: str,
) -> str:
    """A number as 0.58 L/min, 0.5 to 0.63 L/min where only bounds are known, or 0.58 (0.5 to 0.63) L/min with both."""
    ends = () if band is None else tuple(dict.fromkeys(map(one, band)))
    if len(ends) < 2:
        return one(build) if build is not None else "".join(ends) or unknown
    low, (high, _, unit) = ends[0].partition(" ")[0], ends[1].partition(" ")
    bounds = f"{low} to {high}" if build is None else f"{one(build).partition(' ')[0]} ({low} to {high})"
    return f"{bounds} {unit}".rstrip()


def _row(label: str, own: str, reference: str, times: str = "") -> str:
    return f"{label:<38}{own:>33}{reference:>16}{times:>9}".rstrip()


def _step(label: str, ahead: str, share: str, wider: str) -> str:
    return f"{label:<38}{ahead:>28}{share:>18}{wider:>12}".rstrip()


def _pull(exponent: float | str | None) -> str:
    """How much more oil goes up with a passage one per cent wider; nothing where that is not known."""
    return "" if exponent is None else f"{float(exponent):+.2f} %"


def _may_lack(computed: Computed) -> bool:
    return computed.name.partition(".")[0] in _NOT_EVERYWHERE


def _is_told(computed: Computed, *, fully: bool) -> bool:
    """Headlines always; single consumers only where all is told, and not those that neither engine has."""
    name = computed.name.partition(".")[0]
    if _may_lack(computed) and computed.build is None and computed.band is None:
        return False
    if name in HEADLINES:
        return True
    return fully and (computed.build, computed.reference) != (0.0, 0.0)


def _told_of(timing: list[Computed]) -> list[Computed]:
    """What moves with the cam; nothing of bands where neither engine has one at a gallery."""
    banded = any(c.name == "fed_share" and (c.build, c.reference, c.band) != (None,) * 3 for c in timing)
    return [c for c in timing if banded or c.name not in _OF_BANDS]
