"""Numbers of a bench sheet: computed facts and sizes in words, or why there is none."""

from upfeed.advising.sheet.benchsheet import Number
from upfeed.answering.answer import Computed
from upfeed.judging.message import System
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading import units

_DIGITS = {"required_pushrod_length": 5, "parked": 2}
"""Pushrods are ordered to the thou or so; a drill holds no speed closely."""


class Teller:
    """Tells numbers in one system of units."""

    def __init__(self, vocabulary: Vocabulary, system: System) -> None:
        self._vocabulary, self._system = vocabulary, system

    def fact(self, computed: Computed, lacks: str | None = None) -> Number:
        """A computed fact; where it has no value, by what the fact is unless `lacks` says better."""
        name = computed.name.partition(".")[0]
        fact = self._vocabulary.facts[name]
        assert fact.quantity is not None
        value = computed.build if isinstance(computed.build, float) else None
        why = lacks or f"not known here: {fact.definition}"
        return self.number(computed.name, value, fact.quantity, fact.shown_in, computed.band, why)

    def number(
        self,
        name: str,
        value: float | None,
        quantity: str,
        unit: str,
        band: tuple[float, float] | None = None,
        lacks: str = "",
    ) -> Number:
        """A number of a quantity, shown in the unit or its metric counterpart."""
        in_unit = unit if self._system == "shop" else units.shown_in(unit)
        digits = _DIGITS.get(name.partition(".")[0], 3)

        def shown(size: float) -> str:
            return units.show(size, quantity, in_unit, digits)

        return Number(
            name=name,
            value=value,
            unit=units.QUANTITIES[quantity].ucum,
            shown="not known" if value is None else shown(value),
            band=band,
            band_shown=None if band is None else f"{shown(band[0]).partition(' ')[0]} to {shown(band[1])}",
            lacks=lacks if value is None else None,
        )
