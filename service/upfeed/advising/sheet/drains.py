"""Drains that have to be clear before a build is closed, each with the drill that drops through."""

from upfeed.advising.sheet.benchsheet import Drains
from upfeed.advising.sheet.figures import Teller
from upfeed.advising.sheet.pinsteps import pins
from upfeed.flow.survey import Survey
from upfeed.knowledge.records import Value
from upfeed.knowledge.spreads import half_width
from upfeed.knowledge.vocabulary import Attribute, Vocabulary

_DRAINS = (
    ("cylinder_head", "each cover", "drain_count", "drain_diameter", None),
    ("block", "the valley", "valley_drain_count", "valley_drain_diameter", "valley"),
)
_DRAINED = "drained"


def drains(survey: Survey, vocabulary: Vocabulary, tell: Teller) -> list[Drains]:
    """Those of every cover, and of the valley where there is one."""
    told = []
    for slot, where, count, diameter, choice in _DRAINS:
        fitted = survey.build.fitted.get(slot, (None,))[0]
        if fitted is None or (
            choice and (choice not in fitted.has or fitted.has[choice].magnitude != _DRAINED)
        ):
            continue
        number, size = fitted.has.get(count), fitted.has.get(diameter)
        kind = survey.build.family.plan.slots[slot].kind
        off = half_width(size, vocabulary.spreads.get(f"{kind}.{diameter}")) if size else 0.0
        attributes = vocabulary.kinds[kind].attributes
        told.append(
            Drains(
                where=where,
                count=tell.number(count, _size(number), "count", "", None, _how(attributes[count])),
                diameter=tell.number(diameter, _size(size), "length", "mm", None, _how(attributes[diameter])),
                pins=pins(_size(size) or 0.0, off, "drill") if size else [],
            )
        )
    return told


def _size(value: Value | None) -> float | None:
    return value.magnitude if value and isinstance(value.magnitude, float) else None


def _how(attribute: Attribute) -> str:
    return f"not given; {attribute.how} ({attribute.tool})"
