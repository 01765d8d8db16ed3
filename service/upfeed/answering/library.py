"""Everything a check needs, opened once: vocabulary, knowledge in layers, rules; each family's reference complete."""

import itertools
from collections.abc import Iterator, Sequence
from pathlib import Path

from msgspec import Struct, field

from upfeed.flow.topologies import Topologies
from upfeed.judging.rulefolder import load_rules
from upfeed.judging.rules import Rulebook
from upfeed.knowledge.build import Build, reference_build
from upfeed.knowledge.load import Layer, load
from upfeed.knowledge.records import Family, Knowledge, Override, Value
from upfeed.knowledge.variants import lacking
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.knowledge.vocabularyfile import read_vocabulary
from upfeed.reading.cache import users_cache
from upfeed.reading.faults import DataFaults, Fault
from upfeed.reading.folders import data_folder


class Library(Struct, frozen=True):
    """What is known and what is judged, values worth a second look, and parts that later layers replaced.

    `topologies` keep what was once worked out of families' plans.
    """

    vocabulary: Vocabulary
    knowledge: Knowledge
    rulebook: Rulebook
    warnings: tuple[Fault, ...]
    overrides: tuple[Override, ...]
    topologies: Topologies = field(default_factory=Topologies)


def open_library(kb: Sequence[Path] = (), rules: Sequence[Path] = ()) -> Library:
    """The knowledge and rules that come with upfeed, with a shop's own folders over them.

    Raises DataFaults with everything that is wrong in any file.
    """
    return library_in(read_vocabulary(data_folder("shared") / "vocabulary"), kb, rules)


def library_in(vocabulary: Vocabulary, kb: Sequence[Path], rules: Sequence[Path]) -> Library:
    """The same in the words of a vocabulary that was read before."""
    loaded = load(layers_over(data_folder("kb"), kb), vocabulary, users_cache())
    _check_references(loaded.knowledge, vocabulary)
    rulebook = load_rules(layers_over(data_folder("rules"), rules), vocabulary, loaded.knowledge.sources)
    return Library(vocabulary, loaded.knowledge, rulebook, loaded.warnings, loaded.overrides)


def layers_over(base: Path, own: Sequence[Path]) -> list[Layer]:
    """Each goes by its folder's name; values must be traceable, so no two have one name."""
    layers = [Layer("base", base)]
    for folder in (path.resolve() for path in own):
        taken = [layer.name for layer in layers]
        names = (f"{folder.name} {number}".removesuffix(" 1") for number in itertools.count(1))
        layers.append(Layer(next(name for name in names if name not in taken), folder))
    return layers


def _check_references(knowledge: Knowledge, vocabulary: Vocabulary) -> None:
    faults = [f for family in knowledge.families.values() for f in _gaps(family, knowledge, vocabulary)]
    if faults:
        raise DataFaults(faults)


def _gaps(family: Family, knowledge: Knowledge, vocabulary: Vocabulary) -> Iterator[Fault]:
    """A family is compared with its reference, so the reference has to be whole."""
    try:
        build = reference_build(family, knowledge, vocabulary)
    except DataFaults as wrong:
        yield from wrong.faults
        return
    for slot, row in build.fitted.items():
        if None in row:
            yield _gap(family, f"slots, {slot}", "no part", "a part for every slot and valve")
    for path, kind, has, unknown in _everything(build):
        for lacked in lacking(vocabulary.kinds[kind], has, build.settings, unknown):
            yield _gap(family, path, f"no {lacked.name}", lacked.definition)


def _everything(build: Build) -> Iterator[tuple[str, str, dict[str, Value], tuple[str, ...]]]:
    """Every set of values of a build, with a path for people, the kind they are of and what is said to be unknown."""
    for slot, row in build.fitted.items():
        for fitted in {f.key: f for f in row if f}.values():
            yield f"{slot} {fitted.id}", build.family.plan.slots[slot].kind, fitted.has, fitted.unknown
    yield "settings", "settings", build.settings, ()
    for point, values in build.points.items():
        yield f"points, {point}", "points", values, ()


def _gap(family: Family, path: str, found: str, expected: str) -> Fault:
    return Fault(family.reference.origin, f"family {family.id}, reference, {path}", found, expected)
