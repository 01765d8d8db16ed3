"""Ways out of what stands against a build: the best of a search, each checked in full beside the build as it is."""

from collections.abc import Iterable, Iterator

from msgspec import Struct
from msgspec.structs import replace

from upfeed.advising.choosing.needs import Range, ranges
from upfeed.advising.choosing.search import Found, Search, Way
from upfeed.advising.choosing.trying import IDLE
from upfeed.answering.answer import FORMAT, Answer, Change, Computed, Digests, Mend, SolvedPoint, Unknown
from upfeed.answering.check import check
from upfeed.answering.library import Library
from upfeed.judging.message import System
from upfeed.judging.verdict import Verdict
from upfeed.knowledge.build import Build, Fitted
from upfeed.knowledge.records import BuildSheet
from upfeed.reading.units import QUANTITIES

MOST = 5
"""Ways that are told unless a face is asked for more."""

_OF_ONE_SLOT = 2
_FIGURES = ("gallery_pressure", "top_end_flow", "worst_valve_flow", "top_end_share")

NOTHING_STANDS = "nothing stands against this build, so there is nothing to mend"
NOTHING_HELPS = "no known part, setting or size that was tried leaves less against this build"


class Need(Struct, frozen=True, forbid_unknown_fields=True):
    """Between which sizes an attribute would have to lie for less to stand against the build, SI with UCUM unit.

    `clears` are the rules that then fall silent.
    """

    name: str
    low: float
    high: float
    unit: str | None
    shown: tuple[str, str]
    clears: list[str]
    verdict: Verdict


class Mends(Struct, frozen=True, forbid_unknown_fields=True):
    """What may be done about a build, the best first; `said` is why there is nothing, where there is nothing.

    `findings` are the ids of what stands against the build as it is, `computed` its hot idle, `unknown` what to measure
    before anything is bought, `tried` how many builds were computed. `needs` are told where no way clears every stop.
    """

    format: int
    digests: Digests
    build: str
    family: str
    verdict: Verdict
    findings: list[str]
    computed: list[Computed]
    tried: int
    ways: list[Mend]
    needs: list[Need]
    unknown: list[Unknown]
    said: str | None
    cautions: list[str]


def mends(
    sheet: BuildSheet, library: Library, system: System = "shop", samples: int = 0, most: int = MOST
) -> Mends:
    """Search for ways out of a build. Raises DataFaults for a build that can't be."""
    return mends_of(check(sheet, library, system, samples), sheet, library, system, samples, most)


def check_with_mends(
    sheet: BuildSheet, library: Library, system: System = "shop", samples: int = 0, most: int = MOST
) -> Answer:
    """The answer to a check, each finding with the ways out that clear it. Raises DataFaults for one that can't be.

    The ways are those of `mends`, computed as the values are given: without draws, however many the check makes.
    """
    answer = check(sheet, library, system, samples)
    ways = mends_of(answer, sheet, library, system, 0, most).ways
    told = [
        replace(finding, mends=[w for w in ways if finding.id in w.clears]) for finding in answer.findings
    ]
    return replace(answer, findings=told)


def mends_of(
    before: Answer, sheet: BuildSheet, library: Library, system: System, samples: int, most: int
) -> Mends:
    """The same for a build that was checked already."""
    search = Search(sheet, library)
    if search.cannot_begin:
        return _told(before, said=f"first choose or measure {', '.join(search.cannot_begin)}, left open here")
    found = search.ways()
    if not found.before.raised:
        return _told(before, said=NOTHING_STANDS)
    ways = [
        _mend(way, search, before, check(search.sheet_with(way), library, system, samples))
        for way in _worth_telling(found.ways, most)
    ]
    needs = (
        [] if _clears_stops(found) else [_need(one, found) for one in _better_than(found, search, library)]
    )
    said = None if ways or needs else NOTHING_HELPS
    return _told(before, ways, needs, said, search.count)


def _told(
    before: Answer,
    ways: Iterable[Mend] = (),
    needs: Iterable[Need] = (),
    said: str | None = None,
    tried: int = 0,
) -> Mends:
    return Mends(
        format=FORMAT,
        digests=before.digests,
        build=before.build.name,
        family=before.build.family,
        verdict=before.verdict,
        findings=[f.id for f in before.findings if f.weighs != "note" and f.accepted is None],
        computed=list(_figures(before)),
        tried=tried,
        ways=list(ways),
        needs=list(needs),
        unknown=[unknown for unknown in before.unknown if unknown.blocks],
        said=said,
        cautions=before.cautions,
    )


def _worth_telling(ways: Iterable[Way], most: int) -> list[Way]:
    """The best, but not the tenth lifter that does the same: of each slot two parts, of a size one, in order."""
    told: list[Way] = []
    for way in ways:
        alike = [one for one in told if one.slots == way.slots]
        if len(alike) < (1 if way.is_sized else _OF_ONE_SLOT) and len(told) < most:
            told.append(way)
    return told


def _clears_stops(found: Found) -> bool:
    return bool(found.ways) and not found.ways[0].standing.stops


def _better_than(found: Found, search: Search, library: Library) -> list[Range]:
    """Sizes that leave less against the build than the best way found."""
    least = found.ways[0].standing.burden if found.ways else found.before.burden
    return [one for one in ranges(search, found.before, library) if one.standing.burden < least]


def _mend(way: Way, search: Search, before: Answer, after: Answer) -> Mend:
    stood, stands = ([f.id for f in answer.findings if f.accepted is None] for answer in (before, after))
    return Mend(
        do="; ".join(dict.fromkeys(candidate.do for candidate in way.candidates)),
        changes=[
            Change(c.change.name, _was(search.build, c.change.name), c.change.new) for c in way.candidates
        ],
        clears=[id_ for id_ in stood if id_ not in stands],
        raises=[id_ for id_ in stands if id_ not in stood],
        settles=sorted(_untold(before) - _untold(after)),
        verdict=after.verdict,
        computed=list(_figures(after)),
    )


def _untold(answer: Answer) -> set[str]:
    """The rules that wait for a value."""
    return {rule for unknown in answer.unknown for rule in unknown.blocks}


def _was(build: Build, name: str) -> str:
    """What a build has of what is changed, each once where its places differ."""
    slot, _, attribute = name.partition(".")
    if slot == "settings":
        value = build.settings.get(attribute)
        return value.written if value else "not given"
    fitted = [one for one in build.fitted[slot] if one]
    if not attribute:
        return ", ".join(dict.fromkeys(_named(one, slot) for one in fitted)) or "nothing"
    values = [one.has.get(attribute) for one in fitted]
    return ", ".join(dict.fromkeys(value.written if value else "not given" for value in values))


def _named(fitted: Fitted, slot: str) -> str:
    """A known part by its id, and whether the build says something of its own of it."""
    as_known = fitted.key.startswith(f"{slot}: {fitted.id},")
    return fitted.name if not fitted.id else fitted.id if as_known else f"{fitted.id} as given here"


def _figures(answer: Answer) -> Iterator[Computed]:
    for point in answer.points:
        if isinstance(point, SolvedPoint) and point.point == IDLE:
            yield from (c for c in point.computed if c.name.partition(".")[0] in _FIGURES)


def _need(one: Range, found: Found) -> Need:
    quantity = one.size.attribute.quantity
    low, high = one.low.magnitude, one.high.magnitude
    assert isinstance(low, float)
    assert isinstance(high, float)
    return Need(
        name=one.size.tries,
        low=low,
        high=high,
        unit=QUANTITIES[quantity].ucum if quantity else None,
        shown=(one.low.written, one.high.written),
        clears=sorted(found.before.raised - one.standing.raised),
        verdict=one.standing.verdict,
    )
