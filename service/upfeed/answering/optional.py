"""Rules that stay open because something is not given that a check can do without."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from upfeed.answering.answer import Unknown
from upfeed.answering.findings import Ruling, measure
from upfeed.answering.library import Library
from upfeed.flow.survey import Survey
from upfeed.judging.rules import Rule
from upfeed.knowledge.build import Build
from upfeed.knowledge.records import Value
from upfeed.knowledge.vocabulary import Attribute, Fact, Vocabulary


class Lacked(Struct, frozen=True):
    """A value that some fact takes, that a check can do without and that nobody gave."""

    name: str
    slot: str
    at: str
    attribute: Attribute


Lacking = Mapping[str, tuple[Lacked, ...]]
"""What is not given, by the id of the ruling that stays open over it."""


def not_given(survey: Survey, unknown: Sequence[Ruling], vocabulary: Vocabulary) -> Lacking:
    """The rulings that stay open over values that a check can do without, with what is missing for each."""
    if survey.facts is None:
        return {}
    lacking = {
        ruling.judged.id: _each_once(
            _lacking(survey.build, survey.reference, ruling.judged.blocked_by, vocabulary)
        )
        for ruling in unknown
    }
    return {id_: lacked for id_, lacked in lacking.items() if lacked}


def open_over_optional(build: Build, reference: Build, library: Library) -> frozenset[str]:
    """The rules that read what cannot be worked out for want of a value that a check can do without."""
    rules, vocabulary = library.rulebook.rules.values(), library.vocabulary
    return frozenset(rule.id for rule in rules if stays_open(rule, build, reference, vocabulary))


def stays_open(rule: Rule, build: Build, reference: Build, vocabulary: Vocabulary) -> bool:
    """Whether a rule reads what cannot be worked out for want of a value that a check can do without."""
    return any(_lacking(build, reference, rule.reads, vocabulary))


def unmeasured(lacking: Lacking) -> Iterator[Unknown]:
    """Each missing value once, the rules that wait for it, and how to measure it."""
    for lacked in _each_once(one for several in lacking.values() for one in several):
        waiting = {id_.partition("@")[0] for id_, several in lacking.items() if lacked in several}
        yield Unknown(lacked.name, lacked.slot, lacked.at, sorted(waiting), measure(lacked.attribute))


def _each_once(lacked: Iterable[Lacked]) -> tuple[Lacked, ...]:
    return tuple({one.name: one for one in lacked}.values())


def _lacking(
    build: Build, reference: Build, names: Iterable[str], vocabulary: Vocabulary
) -> Iterator[Lacked]:
    for name in names:
        bare = name.removeprefix("ratio.").removeprefix("reference.")
        fact, point = vocabulary.facts.get(bare.partition(".")[0]), bare.rpartition(".")[2]
        for taken in fact.takes if fact else _taken_by_any(bare, vocabulary.facts):
            if not name.startswith("reference."):
                yield from _lacked(build, taken, point, vocabulary)
            if name != bare:
                yield from _lacked(reference, taken, point, vocabulary, "reference.")


def _taken_by_any(name: str, facts: Mapping[str, Fact]) -> tuple[str, ...]:
    return (name,) if any(name in fact.takes for fact in facts.values()) else ()


def _lacked(build: Build, taken: str, point: str, vocabulary: Vocabulary, of: str = "") -> Iterator[Lacked]:
    slot, _, name = taken.partition(".")
    attribute = vocabulary.kinds[slot].attributes[name]
    if slot == "points":
        if name not in build.points[point]:
            yield Lacked(f"{of}points.{point}.{name}", slot, point, attribute)
    elif any(
        fitted is None or _is_lacked(attribute, fitted.has) for fitted in build.fitted.get(slot, (None,))
    ):
        yield Lacked(f"{of}{taken}", slot, "all", attribute)


def _is_lacked(attribute: Attribute, has: Mapping[str, Value]) -> bool:
    """Whether it is to be asked for: not before it is known whether it counts."""
    chosen = {name: value.magnitude for name, value in has.items()}
    counts = all(by in chosen for by in attribute.counts_where) and attribute.counts(chosen)
    return attribute.name not in has and counts
