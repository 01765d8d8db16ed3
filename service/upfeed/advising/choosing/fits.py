"""What still fits: every known part for a slot, from what its sizes alone tell to the whole check, in arrays."""

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from upfeed.advising.choosing.slotchoices import Choice, choices_for
from upfeed.answering.answer import FORMAT, Digests
from upfeed.answering.cautions import CAUTIONS, LEFT_OUT
from upfeed.answering.digests import digests
from upfeed.answering.library import Library
from upfeed.judging.message import System
from upfeed.knowledge.build import resolve
from upfeed.knowledge.records import BuildSheet
from upfeed.reading.faults import DataFaults, Fault, quoted
from upfeed.reading.nearest import did_you_mean, either


class SlotChoices(Struct, frozen=True, forbid_unknown_fields=True):
    """The choices for a slot, those that fit first; `said` is why there is none, where there is none.

    `as_designed` are other slots left open, which here count as filled with what the family was designed with.
    """

    slot: str
    as_designed: list[str]
    choices: list[Choice]
    said: str | None


class Fits(Struct, frozen=True, forbid_unknown_fields=True):
    """What goes into the slots of a build."""

    format: int
    digests: Digests
    build: str
    family: str
    slots: list[SlotChoices]
    cautions: list[str]


def fits(sheet: BuildSheet, library: Library, slots: Sequence[str] = (), system: System = "shop") -> Fits:
    """What goes into these slots of a build, else into those that it leaves open.

    Raises DataFaults for a build that can't be, a slot that the family lacks, and where nothing is open and no slot is
    named.
    """
    asked = tuple(slots) or sheet.open
    build = resolve(replace(sheet, open=()), library.knowledge, library.vocabulary)
    faults = list(_unusable(sheet, asked, tuple(build.fitted)))
    if faults:
        raise DataFaults(faults)
    told = []
    for slot in asked:
        found = choices_for(build, slot, library, system)
        others = [other for other in sheet.open if other != slot]
        said = None if found else f"no {slot.replace('_', ' ')} is known that somebody sells"
        told.append(SlotChoices(slot, others, found, said))
    return Fits(
        format=FORMAT,
        digests=digests(library, sheet),
        build=sheet.name or sheet.id,
        family=sheet.family,
        slots=told,
        cautions=[*CAUTIONS, *LEFT_OUT],
    )


def _unusable(sheet: BuildSheet, asked: Sequence[str], known: Sequence[str]) -> Iterator[Fault]:
    if not asked:
        expected = f"a slot left open, or one named: {either(known)}"
        yield Fault(sheet.origin, "open", "nothing left open", expected)
    for slot in asked:
        if slot not in known:
            yield Fault(
                sheet.origin, "slot", quoted(slot), f"a slot of {sheet.family}", did_you_mean(slot, known)
            )
