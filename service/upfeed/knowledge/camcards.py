"""Cam cards that no lobe can meet: the values of one card have to go together."""

from collections.abc import Iterator, Mapping

from upfeed.knowledge.build import Build
from upfeed.knowledge.records import Value
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.physics.timing import lobe_exists
from upfeed.reading.faults import Fault

Card = Mapping[str, float | str]
"""What is known of a camshaft, SI."""


def lobes_exist(build: Build, vocabulary: Vocabulary, slots: Mapping[str, tuple[Card, ...]]) -> bool:
    """Whether every lobe of an engine of this family can be, given what stands in its slots."""
    return all(
        lobe_exists(**{argument: float(card[name]) for argument, name in lobe.items()})
        for slot, _, lobe in _lobes(build, vocabulary)
        for card in slots[slot]
    )


def card_faults(build: Build, vocabulary: Vocabulary) -> Iterator[Fault]:
    """Cards of which something is missing, where nothing that is possible makes a lobe of the rest."""
    for slot, name, lobe in _lobes(build, vocabulary):
        for fitted in {f.key: f for f in build.fitted[slot] if f}.values():
            given = {argument: fitted.has[name] for argument, name in lobe.items() if name in fitted.has}
            if given and len(given) < len(lobe):
                yield _card_fault(f"{slot} {fitted.id}".strip(), name, given)


def _lobes(build: Build, vocabulary: Vocabulary) -> Iterator[tuple[str, str, dict[str, str]]]:
    plan = build.family.plan
    for slot in plan.slots.values():
        lobes = vocabulary.kinds[slot.kind].lobes or {}
        moving = dict.fromkeys(map(plan.lobe_of, plan.roles))
        yield from ((slot.name, name, lobes[name]) for name in moving if name in lobes)


def _card_fault(path: str, name: str, given: Mapping[str, Value]) -> Fault:
    found = ", ".join(f"{argument.replace('_', ' ')} {value.written}" for argument, value in given.items())
    expected = "lifts that rise and durations that fall from low to high, on flanks that steepen"
    # What the build itself says is what its writer can mend.
    origins = sorted((value.origin for value in given.values()), key=lambda origin: origin.layer != "")
    return Fault(origins[0], f"{path}, {name} lobe", found, expected, "Check the cam card.")
