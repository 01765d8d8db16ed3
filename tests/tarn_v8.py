"""The demo family for tests: its reference as one known engine, engines changed from it, and their facts."""

from collections.abc import Mapping
from pathlib import Path

from upfeed.build import reference_build
from upfeed.circuit import Circuit, circuit
from upfeed.engines import Engines
from upfeed.facts import Facts
from upfeed.load import Layer, load
from upfeed.plan import topology
from upfeed.solve import solve
from upfeed.variants import Known, Variant, variant
from upfeed.vocabularyfile import read_vocabulary

TOP = Path(__file__).parent.parent
VOCABULARY = read_vocabulary(TOP / "shared" / "vocabulary")
KNOWLEDGE = load([Layer("base", TOP / "kb")], VOCABULARY).knowledge
FAMILY = KNOWLEDGE.families["tarn-v8"]
PLAN = FAMILY.plan
TOPOLOGY = topology(PLAN, VOCABULARY.kinds)
REFERENCE = variant(reference_build(FAMILY, KNOWLEDGE, VOCABULARY))
POINTS = tuple(FAMILY.points)


def part(id_: str) -> dict[str, float | str]:
    """What is known of a part, SI."""
    return {name: value.magnitude for name, value in KNOWLEDGE.parts[id_].has.items()}


def possible(kind: str, attribute: str) -> tuple[float, float]:
    """Both ends of what an attribute can be, SI."""
    ends = VOCABULARY.kinds[kind].attributes[attribute].possible
    assert ends is not None
    return ends


def engine(changes: Mapping[str, object], of: Variant = REFERENCE) -> Variant:
    """An engine changed by name: `lifter.feed_hole`, `settings.preload`, `points.speed` or a whole `lifter`.

    A part's name stands for the part; changes are made in order, in every position.
    """
    for name, value in changes.items():
        of = _changed(of, name, value)
    return of


def _changed(of: Variant, name: str, value: object) -> Variant:
    slot, _, attribute = name.partition(".")
    if slot == "settings":
        return Variant(of.slots, {**of.settings, attribute: value}, of.points)
    if slot == "points":
        return Variant(of.slots, of.settings, {p: {**v, attribute: value} for p, v in of.points.items()})
    known: Known = {**of.slots[slot][0], attribute: value} if attribute else part(str(value))
    return Variant({**of.slots, slot: (known,) * len(of.slots[slot])}, of.settings, of.points)


def engines(*variants: Variant, points: tuple[str, ...] = POINTS) -> Engines:
    return Engines(PLAN, VOCABULARY, variants, points)


def wired(*variants: Variant, points: tuple[str, ...] = POINTS) -> Circuit:
    return circuit(engines(*variants, points=points), TOPOLOGY)


def facts_of(*variants: Variant, points: tuple[str, ...] = POINTS) -> Facts:
    made = wired(*variants, points=points)
    return Facts(made, solve(made.network))
