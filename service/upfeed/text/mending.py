"""Ways out of what stands against a build, in words."""

from collections.abc import Iterator

from upfeed.advising.choosing.mends import Mends, Need
from upfeed.answering.answer import Change, Computed, Mend
from upfeed.judging.message import System
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading.units import show
from upfeed.text.prose import listed, words, wrapped
from upfeed.text.say import VERDICTS
from upfeed.text.tables import Tables


def mending(mends: Mends, vocabulary: Vocabulary, system: System = "shop") -> str:
    """The whole search as text, the best way out first."""
    tables = Tables(vocabulary, system)
    sections = (_as_it_is(mends, tables), _ways(mends, tables), _needs(mends), _cautions(mends))
    return "\n".join(line for section in sections for line in section).rstrip() + "\n"


def _as_it_is(mends: Mends, tables: Tables) -> Iterator[str]:
    named = f"{mends.build} (family {mends.family})" if mends.build else f"of the family {mends.family}"
    yield from wrapped(f"{VERDICTS[mends.verdict]}: the build {named} as it is.")
    if mends.findings:
        yield from wrapped(f"Against it: {listed(map(_finding, mends.findings))}.", "  ")
    yield from _figures(mends.computed, tables, "  ")
    yield ""
    if mends.unknown:
        yield "Before anything is bought"
        for unknown in mends.unknown:
            yield from wrapped(f"measure {words(unknown.name)}: {unknown.measure}", "  - ", "    ")
        yield ""
    if mends.said:
        yield from wrapped(f"{mends.said[0].upper()}{mends.said[1:]}.")
        yield ""


def _ways(mends: Mends, tables: Tables) -> Iterator[str]:
    if mends.ways:
        yield f"What may be done, the best first, of {mends.tried} builds computed"
    for number, way in enumerate(mends.ways, 1):
        yield from wrapped(f"{number}. {way.do}: {listed(map(_change, way.changes))}", "  ", "     ")
        yield from wrapped(f"{VERDICTS[way.verdict]}. {_effect(way)}", "     ")
        yield from _figures(way.computed, tables, "     ")
    if mends.ways:
        yield ""


def _effect(way: Mend) -> str:
    settles = f"Settles {listed(map(words, way.settles))}." if way.settles else "Clears nothing whole."
    clears = f"Clears {listed(map(_finding, way.clears))}." if way.clears else settles
    raises = f" Raises {listed(map(_finding, way.raises))}." if way.raises else ""
    return clears + raises


def _finding(id_: str) -> str:
    rule, _, place = id_.partition("@")
    at = place.rpartition("/")[2].replace("+", ", ").replace("-", " ")
    return words(rule) if at in ("all", "") else f"{words(rule)} ({at})"


def _change(change: Change) -> str:
    return f"{words(change.name)} {change.new} instead of {change.old}"


def _figures(computed: list[Computed], tables: Tables, margin: str) -> Iterator[str]:
    if computed:
        told = (f"{words(c.name.partition('.')[0])} {_beside(c, tables)}" for c in computed)
        yield from wrapped(f"At hot idle: {', '.join(told)}.", margin)


def _beside(computed: Computed, tables: Tables) -> str:
    if computed.ratio is None:
        return tables.shown(computed)
    times = show(computed.ratio, "ratio", "")
    return f"{tables.shown(computed)} ({'as designed' if times == '1' else f'{times} times'})"


def _needs(mends: Mends) -> Iterator[str]:
    if not mends.needs:
        return
    yield "What a part would need to be, where none is known that does"
    for need in mends.needs:
        yield from wrapped(_need(need), "  - ", "    ")
    yield ""


def _need(need: Need) -> str:
    slot, _, attribute = need.name.partition(".")
    low, high = need.shown
    size = f"of {low}" if low == high else f"between {low} and {high}"
    told = f"a {words(slot)} with a {words(attribute)} {size}" if attribute else f"{words(slot)} {size}"
    return f"{told}: clears {listed(map(words, need.clears))}; then {VERDICTS[need.verdict].lower()}"


def _cautions(mends: Mends) -> Iterator[str]:
    yield "Cautions"
    for caution in mends.cautions:
        yield from wrapped(caution, "  - ", "    ")
