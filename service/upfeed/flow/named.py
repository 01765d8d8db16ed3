"""What a name stands for in builds: a fact under each limit of trapped air, or a value, a setting, a part's name."""

from upfeed.flow.facts import Column, Facts, Value
from upfeed.knowledge.build import Build
from upfeed.knowledge.records import Magnitude
from upfeed.knowledge.records import Value as Given

OF_STEADY_FLOW = ("share_of_drop", "tightest", "first_oil", "first_oil_cranked")
"""Facts that only steady flow has; the other limit takes them over."""

Limits = tuple[Facts, ...]
"""Facts under each limit of what trapped air may do, steady flow first; none where nothing was solved."""


def is_fact(name: str, build: Build) -> bool:
    """Whether a name is that of a fact, and not of something written of a build."""
    slot = name.partition(".")[0]
    return slot != "settings" and slot not in build.fitted


def fact_columns(limits: Limits, name: str, valve: int) -> list[Column]:
    """A fact variant by variant, under each limit."""
    steady = name.partition(".")[0] in OF_STEADY_FLOW
    return [(limits[0] if steady else facts).column(name, valve) for facts in limits]


def of_reference(reference: Build, limits: Limits, name: str, valve: int) -> tuple[Value, ...]:
    """What a reference has, which is the last variant of the facts: one entry a limit, one where there is none."""
    if is_fact(name, reference):
        return tuple(column[-1] for column in fact_columns(limits, name, valve)) or (None,)
    slot, _, attribute = name.partition(".")
    if attribute == "name":
        value: Value = part_name(reference, slot, valve)
    else:
        given = value_given(reference, name, valve)
        value = reading(given.magnitude) if given else None
    return (value,) * max(len(limits), 1)


def value_given(build: Build, name: str, valve: int) -> Given | None:
    """The value behind an attribute or a setting; None where it is not given."""
    slot, _, attribute = name.partition(".")
    if slot == "settings":
        return build.settings.get(attribute)
    fitted = build.at(slot, valve) if slot in build.fitted else None
    return fitted.has.get(attribute) if fitted else None


def part_name(build: Build, slot: str, valve: int) -> str | None:
    """What is called that stands in a slot; None where it was left open."""
    fitted = build.at(slot, valve)
    return fitted.name if fitted else None


def reading(magnitude: Magnitude | None) -> float | str | None:
    """A value as a column holds it: a table as its text, by which it is told from another."""
    return str(magnitude) if isinstance(magnitude, tuple) else magnitude


def ratio(value: object, reference: object) -> float | None:
    """Value over reference; unknown where either is, or the reference is zero."""
    if isinstance(value, float) and isinstance(reference, float) and reference:
        return value / reference
    return None
