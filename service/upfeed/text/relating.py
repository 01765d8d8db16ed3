"""Two parts side by side, and what goes in a part's place, as text."""

from collections.abc import Iterable, Iterator

from upfeed.advising.inplace.effects import Effect, InFamily
from upfeed.advising.inplace.standins import StandIn
from upfeed.advising.inplace.twoparts import Differing, TwoParts
from upfeed.judging.message import System
from upfeed.reading import units
from upfeed.text.prose import listed, words, wrapped

_HEIGHTS = {True: "laid out for one gallery height", False: "laid out for different gallery heights"}


def two_parts(told: TwoParts, system: System = "shop") -> str:
    """What differs, the oil's share of it first; then what either does in each family."""
    return _text(_two_parts(told, system))


def stand_ins(part: str, told: Iterable[StandIn], system: System = "shop") -> str:
    """A paragraph a part: how it comes to be offered, and what it does."""
    return (
        _text(line for other in told for line in _stand_in(other, system))
        or f"nothing is known to go in place of {part}\n"
    )


def _text(lines: Iterable[str]) -> str:
    return "".join(f"{line}\n" for line in lines)


def _two_parts(told: TwoParts, system: System) -> Iterator[str]:
    yield f"{told.first} and {told.second}"
    if told.chain:
        yield f"  supplied in place of one another: {' -> '.join(told.chain)}"
    yield f"  {'take up the same room' if told.same_envelope else 'are not said to take up the same room'}"
    if told.one_gallery_height is not None:
        yield f"  {_HEIGHTS[told.one_gallery_height]}"
    if not told.differences:
        yield "  nothing that is known differs"
    felt = [difference for difference in told.differences if difference.used_for]
    yield from _differences("The oil feels", felt)
    yield from _differences("It does not feel", [d for d in told.differences if not d.used_for])
    for family in told.families:
        yield from _family(family, system)


def _differences(title: str, differences: list[Differing]) -> Iterator[str]:
    if differences:
        yield title
    for difference in differences:
        first, second = (_shown(value) for value in (difference.first, difference.second))
        used = f" ({listed(map(words, difference.used_for))})" if difference.used_for else ""
        yield from wrapped(f"{words(difference.attribute)}: {first} against {second}{used}", "  ", "    ")


def _shown(value: str | None) -> str:
    return "not given" if value is None else value.replace("_", " ")


def _family(family: InFamily, system: System) -> Iterator[str]:
    yield f"In {family.family}"
    for effect in (family.first, family.second):
        yield from wrapped(f"{effect.part}: {_effect(effect, system)}", "  ", "    ")
    if family.times is not None:
        times = units.show(family.times, "ratio", "")
        yield f"  the worst valve gets {times} times the oil with {family.second.part}"


def _effect(effect: Effect, system: System) -> str:
    told = [words(effect.verdict)]
    if effect.worst_valve is not None:
        told.append(
            f"{units.show(effect.worst_valve, 'ratio', '')} times the design's oil at the worst valve"
        )
    if effect.pressure is not None:
        unit = "psi" if system == "shop" else units.shown_in("psi")
        told.append(f"{units.show(effect.pressure, 'pressure', unit)} at hot idle")
    return "; ".join([*told, *map(words, effect.rules)])


def _stand_in(other: StandIn, system: System) -> Iterator[str]:
    how = f"supplied in its place, {' -> '.join(other.chain)}" if other.chain else "takes up the same room"
    if other.one_gallery_height is not None:
        how = f"{how}; {_HEIGHTS[other.one_gallery_height]}"
    yield from wrapped(f"{other.part}: {other.name} ({how})", hanging="  ")
    for family in other.effects:
        yield from wrapped(f"in {family.family}: {_effect(family.second, system)}", "  ", "    ")
