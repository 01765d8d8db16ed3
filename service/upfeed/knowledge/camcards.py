"""Cam cards that no lobe can meet: the values of one card have to go together."""

from collections.abc import Iterator, Mapping

from upfeed.knowledge.build import Build
from upfeed.knowledge.lobeways import BY_TABLE, by_table
from upfeed.knowledge.records import Magnitude, Value
from upfeed.knowledge.vocabulary import Lobe, Vocabulary
from upfeed.physics.timing import lobe_exists
from upfeed.reading.faults import Fault

Card = Mapping[str, Magnitude]
"""What is known of a camshaft, SI."""


def lobes_exist(build: Build, vocabulary: Vocabulary, slots: Mapping[str, tuple[Card, ...]]) -> bool:
    """Whether every lobe of an engine of this family can be, given what stands in its slots.

    What was read off as a table is a lobe, or it would not have been taken.
    """
    return all(
        lobe_exists(**{argument: card[name] for argument, name in lobe.card.items()})  # type: ignore[arg-type]
        for slot, _, lobe in _lobes(build, vocabulary)
        for card in slots[slot]
        if card.get(_lobes_from(build, slot, vocabulary)) != BY_TABLE
    )


def card_faults(build: Build, vocabulary: Vocabulary) -> Iterator[Fault]:
    """Cards of which something is missing, where nothing that is possible makes a lobe of the rest."""
    for slot, name, lobe in _lobes(build, vocabulary):
        for fitted in {f.key: f for f in build.fitted[slot] if f}.values():
            if by_table(vocabulary.kinds[build.family.plan.slots[slot].kind], fitted.has):
                continue
            given = {argument: fitted.has[of] for argument, of in lobe.card.items() if of in fitted.has}
            if given and len(given) < len(lobe.card):
                yield _card_fault(f"{slot} {fitted.id}".strip(), name, given)


def _lobes(build: Build, vocabulary: Vocabulary) -> Iterator[tuple[str, str, Lobe]]:
    plan = build.family.plan
    for slot in plan.slots.values():
        lobes = vocabulary.kinds[slot.kind].lobes or {}
        moving = dict.fromkeys(map(plan.lobe_of, plan.roles))
        yield from ((slot.name, name, lobes[name]) for name in moving if name in lobes)


def _lobes_from(build: Build, slot: str, vocabulary: Vocabulary) -> str:
    return vocabulary.kinds[build.family.plan.slots[slot].kind].lobes_from or ""


def _card_fault(path: str, name: str, given: Mapping[str, Value]) -> Fault:
    found = ", ".join(f"{argument.replace('_', ' ')} {value.written}" for argument, value in given.items())
    expected = "lifts that rise and durations that fall from low to high, on flanks that steepen"
    # What the build itself says is what its writer can mend.
    origins = sorted((value.origin for value in given.values()), key=lambda origin: origin.layer != "")
    return Fault(origins[0], f"{path}, {name} lobe", found, expected, "Check the cam card.")
