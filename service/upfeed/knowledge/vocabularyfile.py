"""Reads the vocabulary: kinds of parts with their attributes and passages, computed facts, and spreads."""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from upfeed.knowledge.attributefile import read_attribute
from upfeed.knowledge.spreadfile import SPREADS_FILE, read_spreads
from upfeed.knowledge.traitcheck import trait_faults
from upfeed.knowledge.vocabulary import (
    Bench,
    Binding,
    Centre,
    Fact,
    Instead,
    Kind,
    Lobe,
    Member,
    Passage,
    Source,
    Stack,
    Vocabulary,
)
from upfeed.knowledge.vocabularycheck import naming_faults, taking_faults
from upfeed.physics.laws import LAWS
from upfeed.reading.faults import DataFaults, Fault, quoted
from upfeed.reading.nodes import Scalar, Sequence
from upfeed.reading.reader import Reader
from upfeed.reading.units import QUANTITIES
from upfeed.reading.yamltree import read_yaml

FACTS_FILE = "facts"
_KIND_KEYS = ("format", "kind", "definition", "ports", "attributes", "passages", "source", "fluid", "lobes")


def read_vocabulary(folder: Path) -> Vocabulary:
    """Every kind, fact and spread of a vocabulary folder. Raises DataFaults with all that is wrong."""
    faults: list[Fault] = []
    files = dict(_files(folder, faults))
    of_facts, of_spreads = files.pop(FACTS_FILE, None), files.pop(SPREADS_FILE, None)
    kinds = {stem: _kind(file, stem) for stem, file in files.items()}
    points, facts = _facts(of_facts) if of_facts else ({}, {})
    spreads = read_spreads(of_spreads, kinds) if of_spreads else {}
    faults.extend(naming_faults(kinds, f"{folder.parent.name}/{folder.name}"))
    faults.extend(trait_faults(kinds, f"{folder.parent.name}/{folder.name}"))
    faults.extend(taking_faults(facts, kinds, f"{folder.parent.name}/{folder.name}/{FACTS_FILE}.yaml"))
    if faults:
        raise DataFaults(faults)
    return Vocabulary(kinds, points, facts, spreads)


def _files(folder: Path, faults: list[Fault]) -> Iterator[tuple[str, Reader]]:
    for path in sorted(folder.glob("*.yaml")):
        name = f"{folder.parent.name}/{folder.name}/{path.name}"
        node = read_yaml(path.read_bytes(), name, "vocabulary", faults)
        if node is not None:
            yield (
                path.stem,
                Reader(node, "" if path.stem in (FACTS_FILE, SPREADS_FILE) else path.stem, faults),
            )


def _kind(file: Reader, stem: str) -> Kind:
    file.format()
    file.only(
        *_KIND_KEYS,
        "lobes_from",
        "base_circle",
        "centres",
        "read_at",
        "stack",
        "kept_full",
        "bench",
        "instead",
        "fits_by",
    )
    if file.text("kind") not in ("", stem):
        file.fault("kind", quoted(file.text("kind")), f"{stem}, the name of the file")
    attributes, passages = file.mapping("attributes"), file.mapping("passages")
    return Kind(
        name=stem,
        definition=file.text("definition"),
        ports=_texts(file.mapping("ports")),
        attributes={n: read_attribute(n, r) for n, r in attributes.each()} if attributes else {},
        passages={n: _passage(n, r) for n, r in passages.each()} if passages else {},
        source=_source(file.mapping("source")),
        fluid=_takes_of(file.mapping("fluid")),
        lobes=_lobes(file.mapping("lobes")),
        lobes_from=file.optional_text("lobes_from"),
        base_circle=file.optional_text("base_circle"),
        read_at=_texts(file.mapping("read_at")) or None,
        centres=_centres(file.mapping("centres")),
        stack=_stack(file.mapping("stack")),
        bench=_bench(file.mapping("bench")),
        kept_full=file.words("kept_full"),
        instead=_instead(file.mapping("instead")),
        fits_by="sizes" if file.one_of("fits_by", ["family", "sizes"]) == "sizes" else "family",
    )


def _instead(given: Reader | None) -> dict[str, Instead] | None:
    return {name: _one_instead(r) for name, r in given.each()} if given else None


def _one_instead(given: Reader) -> Instead:
    given.only("by", "of")
    return Instead(given.text("by"), _texts(given.mapping("of")))


def _passage(name: str, given: Reader) -> Passage:
    given.only("between", "by", "laws", "law", "takes", "count", "fills", "opens_at", "draws", "bypass")
    between = given.words("between")
    if len(between) != 2:
        given.fault("between", f"{len(between)} ends", "two ports, or a port and an open space")
        between = ("", "")
    laws, draws = given.mapping("laws"), given.mapping("draws")
    return Passage(
        name=name,
        between=(between[0], between[1]),
        by=_by(given),
        laws={choice: _binding(r) for choice, r in laws.each()} if laws else {"": _binding(given)},
        count=given.optional_text("count"),
        fills=given.optional_text("fills"),
        opens_at=given.optional_text("opens_at"),
        draws=dict(_terms(draws)) if draws else None,
        bypass=_texts(bypass) if (bypass := given.mapping("bypass")) else None,
    )


def _by(given: Reader) -> tuple[str, ...]:
    """One attribute, or a list of them."""
    if isinstance(given.node("by"), Sequence):
        return given.words("by")
    by = given.optional_text("by")
    return (by,) if by else ()


def _binding(given: Reader) -> Binding:
    law = given.one_of("law", LAWS)
    if law is None:
        given.fault("law", "no known law", "the law this passage obeys")
    takes = given.mapping("takes")
    return Binding(law or "shut", dict(_terms(takes)) if takes else {})


def _terms(takes: Reader) -> Iterator[tuple[str, str | float]]:
    for argument, node, _ in takes.items():
        if isinstance(node, Scalar) and node.form == "number":
            yield argument, float(node.text)
        else:
            yield argument, takes.text(argument)


def _texts(given: Reader | None) -> dict[str, str]:
    return {name: given.text(name) for name, _, _ in given.items()} if given else {}


def _source(given: Reader | None) -> Source | None:
    if given is None:
        return None
    return Source(given.text("into"), _texts(given.mapping("takes")), given.optional_text("fills"))


def _takes_of(given: Reader | None) -> dict[str, str] | None:
    return _texts(given.mapping("takes")) if given else None


def _lobes(given: Reader | None) -> dict[str, Lobe] | None:
    return {name: _lobe(r) for name, r in given.each()} if given else None


def _lobe(given: Reader) -> Lobe:
    given.only("card", "table")
    return Lobe(_texts(given.mapping("card")), given.text("table"))


def _bench(given: Reader | None) -> Bench | None:
    if given is None:
        return None
    given.only("flow", "pressure", "fluid", "rest", "metering", "tells", "held", "where")
    where = given.mapping("where")
    held = given.mapping("held")
    return Bench(
        flow=given.text("flow"),
        pressure=given.text("pressure"),
        fluid=_texts(given.mapping("fluid")),
        rest=given.words("rest"),
        metering=given.text("metering"),
        tells=_texts(given.mapping("tells")),
        held={choice: _binding(r) for choice, r in held.each()} if held else {},
        where={name: where.words(name) for name, _, _ in where.items()} if where else {},
    )


def _centres(given: Reader | None) -> dict[str, Centre] | None:
    return {lobe: _centre(r) for lobe, r in given.each()} if given else None


def _centre(given: Reader) -> Centre:
    given.only("after", "before")
    after, before = given.optional_text("after"), given.optional_text("before")
    if (after is None) == (before is None):
        given.fault(None, "both sides of the top dead centre, or neither", "after or before, and an angle")
    return Centre(after or before or "", after=after is not None)


def _stack(given: Reader | None) -> Stack | None:
    if given is None:
        return None
    return Stack(
        comes_from=given.text("from"),
        cold=given.text("cold"),
        wanted=given.text("wanted"),
        assembled_at=given.text("assembled_at"),
        ratio=given.text("ratio"),
        travel=given.text("travel"),
        pushrod=given.text("pushrod"),
        members=tuple(_member(m) for m in given.mappings("members")),
    )


def _member(given: Reader) -> Member:
    given.only("length", "adds", "lever", "grows_only", "lobe", "material", "warms_to")
    return Member(
        length=given.text("length"),
        adds=given.flag("adds", default=False),
        lever=given.flag("lever", default=False),
        grows_only=given.flag("grows_only", default=False),
        lobe=given.optional_text("lobe"),
        material=given.optional_text("material"),
        warms_to=given.optional_text("warms_to"),
    )


def _facts(file: Reader) -> tuple[dict[str, str], dict[str, Fact]]:
    file.format()
    file.only("format", "points", "facts")
    given, facts = file.mapping("facts"), dict[str, Fact]()
    for name, reader in given.each() if given else ():
        facts[name] = _fact(name, reader, facts)
    return _texts(file.mapping("points")), facts


def _fact(name: str, given: Reader, earlier: Mapping[str, Fact]) -> Fact:
    given.only(
        "quantity",
        "text",
        "choices",
        "shown_in",
        "scope",
        "at",
        "compared",
        "definition",
        "monotone",
        "takes",
        "told_by",
    )
    quantity, choices = given.one_of("quantity", QUANTITIES), given.mapping("choices")
    monotone = {n: r.text(n) for r in given.mappings("monotone") for n, _, _ in r.items()}
    return Fact(
        name=name,
        quantity=quantity,
        text=given.flag("text", default=choices is not None),
        shown_in=given.optional_text("shown_in") or (QUANTITIES[quantity].shop if quantity else ""),
        scope=given.one_of("scope", ("engine", "valve", "passage", "part")) or "engine",
        at=given.one_of("at", ("point", "once")) or "once",
        compared=given.flag("compared", default=False),
        definition=given.text("definition"),
        monotone=monotone,
        choices=_texts(choices) if choices else None,
        takes=tuple(dict.fromkeys(_taken(given.words("takes"), earlier))),
        told_by=given.one_of("told_by", ("flow", "parts", "draws")) or "flow",
    )


def _taken(names: Iterable[str], earlier: Mapping[str, Fact]) -> Iterator[str]:
    """Attributes; an earlier fact stands for all that it takes itself."""
    for name in names:
        yield from earlier[name].takes if name in earlier else (name,)
