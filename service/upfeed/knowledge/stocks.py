"""What a build is made of, set by set of values: its parts, the settings, the points. And an engine from such sets."""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from upfeed.knowledge.build import Build
from upfeed.knowledge.records import Value
from upfeed.knowledge.variants import Known, Variant, stands_at
from upfeed.knowledge.vocabulary import Kind, Vocabulary


class Stock(Struct, frozen=True):
    """A part, the settings or a point: what it is, under which key, and its values."""

    kind: Kind
    slot: str
    at: str
    key: str
    has: Mapping[str, Value]


def stocks(build: Build, vocabulary: Vocabulary) -> Iterator[Stock]:
    """Every set of values of a build; parts that stand in several places are one."""
    for slot, row in build.fitted.items():
        kind = vocabulary.kinds[build.family.plan.slots[slot].kind]
        for part in {fitted.key: fitted for fitted in row if fitted}.values():
            yield Stock(kind, slot, stands_at(build, row, part), part.key, part.has)
    yield Stock(vocabulary.kinds["settings"], "settings", "all", "settings", build.settings)
    for point, values in build.points.items():
        yield Stock(vocabulary.kinds["points"], "points", point, f"points.{point}", values)


def variant_of(build: Build, known: Mapping[str, Known]) -> Variant:
    """The engine in which each set, by its key, has the values known of it here."""
    slots = {slot: tuple(known[f.key] for f in row if f) for slot, row in build.fitted.items()}
    return Variant(slots, known["settings"], {point: known[f"points.{point}"] for point in build.points})
