"""Kinds of parts and plans made up for tests of topology."""

from upfeed.knowledge.records import Plan, Slot
from upfeed.knowledge.vocabulary import Binding, Kind, Passage, Source


def kind(name, ports="", passages=None, source=None):
    """A kind of part: ports by name, passages by their two ends."""
    return Kind(
        name=name,
        definition="",
        ports=dict.fromkeys(ports.split(), ""),
        attributes={},
        passages={
            passage: Passage(passage, tuple(ends.split()), (), {"": Binding("shut", {})}, None)
            for passage, ends in (passages or {}).items()
        },
        source=Source(source, {}) if source else None,
    )


def family(kinds, joins, each=(), cylinders=1, roles=("intake",)):
    """A plan with one slot for each kind; those in `each` stand at every valve."""
    slots = {k.name: Slot(k.name, k.name, "valve" if k.name in each else "engine") for k in kinds}
    return Plan(cylinders, roles, slots, tuple(tuple(pair.split()) for pair in joins))


PUMP = kind("pump", "outlet", source="outlet")
ROCKER = kind("rocker", "cup stand", {"hole": "cup rocker_cover", "drilling": "stand cup"})
