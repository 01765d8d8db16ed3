"""What a build is made of, set by set of values: its parts, the settings, the points. And an engine from such sets."""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from upfeed.knowledge.build import Build
from upfeed.knowledge.records import Value
from upfeed.knowledge.variants import Known, Variant, stands_at
from upfeed.knowledge.vocabulary import Kind, Vocabulary


class Stock(Struct, frozen=True):
    """A part, the settings or a point: what it is, under which key, and its values.

    `thing` names it the same in every build: a known part by its id, all else by family and place.
    """

    kind: Kind
    slot: str
    at: str
    key: str
    thing: str
    has: Mapping[str, Value]


def stocks(build: Build, vocabulary: Vocabulary) -> Iterator[Stock]:
    """Every set of values of a build; parts that stand in several places are one."""
    kinds, family = vocabulary.kinds, build.family
    for slot, row in build.fitted.items():
        kind = kinds[family.plan.slots[slot].kind]
        for part in {fitted.key: fitted for fitted in row if fitted}.values():
            thing = part.id or f"{family.id}: {part.name}, {part.key}"
            yield Stock(kind, slot, stands_at(build, row, part), part.key, thing, part.has)
    yield Stock(kinds["settings"], "settings", "all", "settings", f"{family.id}: settings", build.settings)
    for point, values in build.points.items():
        key = f"points.{point}"
        yield Stock(kinds["points"], "points", point, key, f"{family.id}: {key}", values)


def variant_of(build: Build, known: Mapping[str, Known]) -> Variant:
    """The engine in which each set, by its key, has the values known of it here."""
    slots = {slot: tuple(known[f.key] for f in row if f) for slot, row in build.fitted.items()}
    return Variant(slots, known["settings"], {point: known[f"points.{point}"] for point in build.points})
