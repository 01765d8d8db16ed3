"""What still fits a build, in words: a line a part, those that fit first."""

from collections.abc import Iterator

from upfeed.advising.choosing.fits import Fits, SlotChoices
from upfeed.advising.choosing.slotchoices import Choice, Fit
from upfeed.judging.message import System
from upfeed.reading.units import show, shown_in
from upfeed.text.prose import listed, words, wrapped

_TITLES: dict[Fit, str] = {
    "fits": "Fits",
    "fits_with_findings": "Fits, with findings",
    "cannot_tell_yet": "Can't tell yet",
    "not_computed": "Not looked at",
    "does_not_fit": "Does not fit",
}


def fitting(fits: Fits, system: System = "shop") -> str:
    """The whole answer as text."""
    sections = (*(_slot(slot, system) for slot in fits.slots), _cautions(fits))
    return "\n".join(line for section in sections for line in section).rstrip() + "\n"


def _slot(slot: SlotChoices, system: System) -> Iterator[str]:
    yield f"What goes in as the {words(slot.slot)}"
    if slot.as_designed:
        open_ = listed(f"the {words(other)}" for other in slot.as_designed)
        yield from wrapped(f"with {open_}, left open here, as the family was designed", "  ")
    if slot.said:
        yield from wrapped(f"{slot.said}", "  ")
    for fit, title in _TITLES.items():
        of_this = [choice for choice in slot.choices if choice.fit == fit]
        if of_this:
            yield f"  {title}"
        for choice in of_this:
            yield from wrapped(_choice(choice, system), "    ", "      ")
    yield ""


def _choice(choice: Choice, system: System) -> str:
    told = [f"{choice.part}, {choice.name}"]
    if choice.worst_valve:
        told.append(_at_idle(choice, system))
    if choice.says:
        told.append(choice.says)
    if choice.others:
        told.append(f"Also: {listed(map(words, choice.others))}.")
    return ". ".join(part.rstrip(".") for part in told) + "."


def _at_idle(choice: Choice, system: System) -> str:
    unit = "psi" if system == "shop" else shown_in("psi")
    oil = f"{show(choice.worst_valve or 0.0, 'ratio', '')} times the oil at the worst valve"
    if choice.gallery_pressure is None:
        return oil
    return f"{oil}, hot idle at {show(choice.gallery_pressure, 'pressure', unit)}"


def _cautions(fits: Fits) -> Iterator[str]:
    yield "Cautions"
    for caution in fits.cautions:
        yield from wrapped(caution, "  - ", "    ")
