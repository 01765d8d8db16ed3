"""What a cup under each rocker catches while the pump of the parked engine is turned from outside."""

from collections.abc import Sequence

from upfeed.advising.sheet.benchsheet import Number, PrimedCup
from upfeed.advising.sheet.figures import Teller
from upfeed.answering.bounds import beside
from upfeed.answering.primingstops import agreed_stops
from upfeed.flow.bands import Pairs
from upfeed.flow.drawn import Drawn
from upfeed.flow.engines import Engines
from upfeed.flow.facts import Column, Facts
from upfeed.flow.parked import OIL_TEMPERATURE, PUMP_SPEED, parked, placed
from upfeed.flow.solve import solve
from upfeed.flow.survey import Survey
from upfeed.knowledge.variants import Variant
from upfeed.knowledge.vocabulary import Vocabulary

CUP = 30.0
"""s, for which a cup is held under a rocker."""

NO_DRILL = (
    "how fast the pump is turned from outside is not told: count the turns of its shaft while a drill turns it and give"
    " them as priming_pump_speed of the settings"
)
NO_WARMTH = (
    "how warm the oil is in the workshop is not told: take its temperature and give it as priming_oil_temperature of"
    " the settings"
)
NOT_PLACED = (
    "where the lobes stand is not known: firing order, lobe centres or what opens the way are not all given"
)
NOT_SETTLED = "the flows of the parked engine came to no balance"
HANGS = "it hangs on what nobody has measured yet, as listed"


class Cups:
    """The cups of a surveyed build at the positions at which its rockers are ticked."""

    def __init__(self, survey: Survey, drawn: Drawn | None, vocabulary: Vocabulary, tell: Teller) -> None:
        self._survey, self._vocabulary, self._tell = survey, vocabulary, tell
        self._stops = agreed_stops(survey)
        self._lacks = _lacks(survey)
        known = self._stops and self._lacks is None
        self._held = self._solved(survey.corners.variants) if known else None
        self._creeping = self._solved(survey.corners.variants, creeping=True) if known else None
        self._drawn = self._solved(drawn.draws.builds) if known and drawn else None

    def of(self, valve: int) -> list[PrimedCup]:
        """The cups of the valve of this index, one a position."""
        return [self._cup(valve, crank, ticked=valve in ticked) for crank, ticked in self._stops]

    def gauges(self) -> list[Number]:
        """Pressure at the gallery with the engine held, one a position."""
        return [
            self._told(f"gallery_pressure.{crank}", 0, 1.0, "pressure", "psi") for crank, _ in self._stops
        ]

    def _cup(self, valve: int, crank: int, *, ticked: bool) -> PrimedCup:
        caught = self._told(f"valve_flow.{crank}", valve, CUP, "volume", "mL")
        creeps = self._creeps(valve, crank) if caught.value == 0 else None
        return PrimedCup(crank_deg=float(crank), ticked=ticked, caught=caught, creeps=creeps)

    def _creeps(self, valve: int, crank: int) -> Number | None:
        """Past a shut band, in as long as a cup is held; the corner cases alone bound it."""
        if self._creeping is None:
            return None
        column = _times(self._creeping.column(f"valve_flow.{crank}", valve), CUP)
        found = beside(column, None, compared=False)
        value = found.build if isinstance(found.build, float) else None
        return self._tell.number(f"parked.creeps.{crank}", value, "volume", "mL", found.band, HANGS)

    def _told(self, fact: str, valve: int, times: float, quantity: str, unit: str) -> Number:
        """A fact of the held engine, so many times over; nine of ten draws bound it, else the corner cases do."""
        name = f"parked.{fact}"
        if self._held is None:
            return self._tell.number(name, None, quantity, unit, None, self._lacks or "")
        column = _times(self._held.column(fact, valve), times)
        pairs = None
        if self._drawn:
            drawn = _times(self._drawn.column(fact, valve), times)
            pairs = Pairs(len(drawn), drawn, ())
        found = beside(column, None, compared=False, pairs=pairs)
        value = found.build if isinstance(found.build, float) else None
        lacks = NOT_SETTLED if None in column else HANGS
        return self._tell.number(name, value, quantity, unit, found.band, lacks)

    def _solved(self, variants: Sequence[Variant], *, creeping: bool = False) -> Facts:
        build = self._survey.build
        engines = Engines(build.family.plan, self._vocabulary, tuple(variants), tuple(build.points))
        cranks = [crank for crank, _ in self._stops]
        held = parked(engines, self._survey.topology, cranks, creeping=creeping)
        return Facts(held, solve(held.network))


def _lacks(survey: Survey) -> str | None:
    """Why nothing can be said of the parked engine; None where it can be."""
    told = survey.build.settings
    if survey.facts is None or not placed(survey.facts.circuit.engines, survey.topology)[:-1].all():
        return NOT_PLACED
    if PUMP_SPEED not in told:
        return NO_DRILL
    return None if OIL_TEMPERATURE in told else NO_WARMTH


def _times(column: Column, times: float) -> Column:
    return tuple(value * times if isinstance(value, float) else value for value in column)
