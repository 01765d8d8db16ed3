"""Values used and numbers computed, as answers carry them: with unit, standing, provenance and bounds."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from upfeed.answering.answer import Computed, Given, Quantity, Written
from upfeed.answering.bounds import beside
from upfeed.flow.bands import Pairs
from upfeed.flow.drawn import Drawn
from upfeed.flow.facts import Column, Value
from upfeed.flow.survey import Survey
from upfeed.judging.judge import Judged
from upfeed.judging.message import System
from upfeed.judging.often import Often
from upfeed.judging.rules import Let, Limit
from upfeed.knowledge.records import Magnitude
from upfeed.knowledge.records import Value as Known
from upfeed.knowledge.tables import shown_table
from upfeed.knowledge.vocabulary import Attribute, Fact, Vocabulary
from upfeed.reading import units
from upfeed.reading.faults import Origin

Chosen = Callable[[Iterable[Value]], float | None]
"""Which of several valves' values counts."""


class Evidence:
    """Turns names that a rule or an answer reads into what goes out over the wire."""

    def __init__(
        self, survey: Survey, vocabulary: Vocabulary, system: System = "shop", drawn: Drawn | None = None
    ) -> None:
        self._survey, self._vocabulary, self._system, self._drawn = survey, vocabulary, system, drawn

    def values(self, judged: Judged, valve: int) -> list[Quantity]:
        """The values and limits a rule read at a place; what is not known has a null value."""
        read = [self.quantity(name, valve) for name in sorted(judged.rule.reads) if self._attribute(name)]
        return read + [self._limit(limit) for limit in judged.rule.limits.values()]

    def computed(self, judged: Judged, valve: int) -> list[Computed]:
        """The facts a rule read at a place, each once however it was read, and its calculations."""
        facts = dict.fromkeys(_bare(name) for name in sorted(judged.rule.reads) if self._fact(name))
        drawn = Often(judged.rule, self._drawn, valve) if self._drawn else None
        lets = (self._let(let, judged.seen[let.name], drawn) for let in judged.rule.lets)
        return [*(self.fact(name, valve) for name in facts), *lets]

    def quantity(self, name: str, valve: int) -> Quantity:
        """A value of the build or its reference by name."""
        attribute = self._attribute(name)
        assert attribute is not None
        return quantity(name, attribute, self._survey.value(name, valve), self._system)

    def fact(self, name: str, valve: int = 0) -> Computed:
        """A fact of the build beside the reference's, by its full name."""
        reference = self._survey.known(f"reference.{name}", valve)
        pairs = self._pairs(name, [valve], _least)
        return self._computed(
            name, self._survey.known(name, valve), reference[0] if reference else None, pairs
        )

    def told(self, name: str) -> Computed:
        """A fact as an answer tells it: one of valves at the valve whose value counts, any other of the engine."""
        chosen = _COUNTING.get(name.partition(".")[0])
        return self._of_valves(name, chosen) if chosen else self.fact(name)

    def drawn(self, name: str) -> Column | None:
        """The same in every draw of the build, all draws of the first limit first; None where nothing was drawn."""
        chosen = _COUNTING.get(name.partition(".")[0])
        pairs = self._pairs(name, self._valves if chosen else [0], chosen or _least)
        return pairs.build if pairs else None

    def least(self, name: str) -> Computed:
        """A fact of valves, at the valve with the least of it; valves where it has no value do not count."""
        return self._of_valves(name, _least)

    def latest(self, name: str) -> Computed:
        """A fact of valves, at the valve with the most of it; unknown where one valve has no value."""
        return self._of_valves(name, _latest)

    @property
    def _valves(self) -> Sequence[int]:
        """One of each group with like parts."""
        return [group[0] for group in self._survey.like_valves]

    def _of_valves(self, name: str, chosen: Chosen) -> Computed:
        columns = [self._survey.known(name, valve) for valve in self._valves]
        references = [self._survey.known(f"reference.{name}", valve)[0] for valve in self._valves]
        pairs = self._pairs(name, self._valves, chosen)
        return self._computed(name, _of_each(columns, chosen), chosen(references), pairs)

    def _pairs(self, name: str, valves: Sequence[int], chosen: Chosen) -> Pairs | None:
        """A fact in every draw, at the one of these valves that is chosen in it."""
        drawn = self._drawn
        if drawn is None:
            return None
        sides = (f"{of}{name}" for of in ("", "reference."))
        build, reference = (_of_each([drawn.known(side, v) for v in valves], chosen) for side in sides)
        return Pairs(drawn.count, build, reference)

    def _computed(self, name: str, column: Column, reference: Value, pairs: Pairs | None) -> Computed:
        fact = self._fact(name)
        assert fact is not None
        compared = beside(column, reference, fact.compared, self._survey.corner_count, pairs)
        return Computed(
            name=name,
            point=name.rsplit(".", 1)[1] if fact.at == "point" else None,
            unit=units.QUANTITIES[fact.quantity].ucum if fact.quantity else None,
            build=compared.build,
            reference=compared.reference,
            ratio=compared.ratio,
            band=compared.band,
            ratio_band=compared.ratio_band,
        )

    def _let(self, let: Let, seen: Iterable[object], drawn: Often | None) -> Computed:
        column = tuple(map(_value, seen))
        pairs = None
        if drawn and self._drawn:
            pairs = Pairs(self._drawn.count, tuple(map(_value, drawn.column(let.name))), ())
        compared = beside(column, None, compared=False, corners=self._survey.corner_count, pairs=pairs)
        quantity = let.shown.quantity
        ucum = units.QUANTITIES[quantity].ucum if quantity else None
        return Computed(let.name, None, ucum, compared.build, None, None, compared.band, None)

    def shown(self, attribute: Attribute, value: Known) -> str:
        """A value in words, in the units of this evidence."""
        return shown(attribute, value, self._system)

    def _limit(self, limit: Limit) -> Quantity:
        quantity, unit = limit.shown.quantity, limit.shown.shown_in
        assert quantity is not None
        told = units.show(limit.value, quantity, unit if self._system == "shop" else units.shown_in(unit))
        ucum = units.QUANTITIES[quantity].ucum
        return Quantity(limit.name, limit.value, ucum, told, None, limit.source, origin(limit.origin), None)

    def _attribute(self, name: str) -> Attribute | None:
        slot, _, attribute = _bare(name).partition(".")
        kind = self._vocabulary.kinds.get(slot)
        return kind.attributes.get(attribute) if kind else None

    def _fact(self, name: str) -> Fact | None:
        return self._vocabulary.facts.get(_bare(name).partition(".")[0])


def quantity(name: str, attribute: Attribute, value: Known | None, system: System) -> Quantity:
    """A value of an attribute under a name, or that it is not known."""
    of = attribute.quantity
    return Quantity(
        name=name,
        value=plain(value.magnitude) if value else None,
        unit=units.QUANTITIES[of].ucum if of else None,
        shown=shown(attribute, value, system) if value else "not known",
        standing=value.standing if value else None,
        source=value.source or None if value else None,
        origin=origin(value.origin) if value else None,
        worked_out=value.note if value and value.follows_from else None,
    )


def shown(attribute: Attribute, value: Known, system: System) -> str:
    """A value in words: as it was written in the shop, else in SI units."""
    if isinstance(value.magnitude, str):
        return value.magnitude.replace("_", " ")
    if system == "shop":
        return value.written
    if isinstance(value.magnitude, tuple):
        assert attribute.table is not None
        return shown_table(value.magnitude, attribute.table)
    assert attribute.quantity is not None
    return units.show(value.magnitude, attribute.quantity, units.shown_in(attribute.shown_in), 4)


def _least(values: Iterable[Value]) -> float | None:
    return min((x for x in values if isinstance(x, float)), default=None)


def _latest(values: Iterable[Value]) -> float | None:
    numbers = [x if isinstance(x, float) else None for x in values]
    return None if None in numbers else max(x for x in numbers if x is not None)


def _of_each(columns: Sequence[Column], chosen: Chosen) -> Column:
    """Case by case the one chosen of several columns; of one, whatever it holds."""
    return tuple(map(chosen, zip(*columns, strict=True))) if len(columns) > 1 else columns[0]


def _value(seen: object) -> Value:
    return seen if isinstance(seen, float | str) else None


def plain(magnitude: Magnitude) -> float | str | None:
    """A value as it goes out; null for a table, of which only what is shown tells."""
    return None if isinstance(magnitude, tuple) else magnitude


def origin(of: Origin) -> Written | Given:
    """Where a value stands: a file of a layer, or a place in the build."""
    return Written(of.layer, of.file, of.line) if of.layer else Given(of.pointer or f"{of.file}:{of.line}")


def _bare(name: str) -> str:
    return name.removeprefix("reference.").removeprefix("ratio.")


def known_names(names: Iterable[str]) -> Iterator[str]:
    """Names of the build's own values, without the reference's."""
    return (name for name in names if not name.startswith(("reference.", "ratio.")))


_COUNTING: Mapping[str, Chosen] = {
    "fed_share": _least,
    "cut_off_lift": _least,
    "rocker_open_share": _least,
    "primed_share": _least,
    "cold_preload": _least,
    "preload_per_pushrod": _least,
    "hot_preload": _least,
    "plunger_travel_left": _least,
    "required_pushrod_length": _latest,
    "first_oil": _latest,
    "first_oil_cranked": _latest,
}
"""Of which valve an answer tells a fact that valves have each; all others are the engine's."""
