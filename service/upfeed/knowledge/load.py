"""Loads the knowledge base: every YAML file of every layer, later layers over earlier ones, all faults at once."""

import gc
import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TypeVar

import msgspec

from upfeed.knowledge.familyfile import read_family
from upfeed.knowledge.impossible import impossible
from upfeed.knowledge.overrides import of_part
from upfeed.knowledge.partfile import RELATIONS, read_defaults, read_part
from upfeed.knowledge.records import Family, Knowledge, Override, Part, SourceNote
from upfeed.knowledge.stored import Loaded, decode, encode
from upfeed.knowledge.values import Defaults, Notes
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading.cache import Cache
from upfeed.reading.faults import DataFaults, Fault, Origin, quoted
from upfeed.reading.layers import Layer, LayerFile, digest_of, read_files
from upfeed.reading.nearest import did_you_mean
from upfeed.reading.programdigest import program
from upfeed.reading.reader import Reader
from upfeed.reading.yamltree import read_yaml

__all__ = ["Layer", "Loaded", "load"]

_Known = TypeVar("_Known", Part, Family)


def load(layers: Sequence[Layer], vocabulary: Vocabulary, cache: Cache | None = None) -> Loaded:
    """Read all layers, from the cache where it holds the very same. Raises DataFaults with all that is wrong."""
    faults: list[Fault] = []
    files = read_files(layers, faults)
    digest = digest_of(files)
    if cache is None or faults:
        return _parsed(files, digest, vocabulary, faults)
    name = _name(layers)
    key = msgspec.msgpack.encode((program(), vocabulary, digest))
    kept = cache.recall(name, key)
    if kept is not None:
        return decode(kept)
    loaded = _parsed(files, digest, vocabulary, faults)
    cache.keep(name, key, encode(loaded))
    return loaded


def _name(layers: Sequence[Layer]) -> str:
    """One file of the cache for the same folders, however often what they hold changes."""
    folders = "\n".join(f"{layer.name} {layer.folder.resolve()}" for layer in layers)
    return f"knowledge-{hashlib.sha256(folders.encode('utf-8', 'surrogateescape')).hexdigest()[:32]}"


def _parsed(files: Sequence[LayerFile], digest: str, vocabulary: Vocabulary, faults: list[Fault]) -> Loaded:
    notes = Notes(faults, [])
    parts: dict[str, Part] = {}
    families: dict[str, Family] = {}
    overrides: list[Override] = []
    with _collection_paused():
        sources = _sources(files, overrides, faults)
        for file in files:
            content = _tree(file, faults)
            if content is None:
                continue
            defaults = _opened(content, sources)
            for given in content.mappings("parts"):
                part = read_part(given, defaults, vocabulary, notes)
                faults.extend(_impossible(part, vocabulary))
                was = _add(parts, part, given, "part")
                overrides += [of_part(was, part)] if was and part else []
            for given in content.mappings("families"):
                family = read_family(given, defaults, vocabulary, notes)
                earlier = _add(families, family, given, "family")
                overrides += [_override("family", earlier, family)] if earlier and family else []
    knowledge = Knowledge(parts, families, sources, digest)
    faults.extend(_dangling(knowledge))
    if faults:
        raise DataFaults(faults)
    return Loaded(knowledge, tuple(notes.warnings), tuple(overrides))


def _impossible(part: Part | None, vocabulary: Vocabulary) -> Iterator[Fault]:
    if part is not None:
        yield from impossible(vocabulary.kinds[part.kind], part.has, f"{part.kind} {part.id}")


@contextmanager
def _collection_paused() -> Iterator[None]:
    """Nothing read here is garbage; looking for some, over and over, takes a fifth of the time."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


def _tree(file: LayerFile, faults: list[Fault]) -> Reader | None:
    node = read_yaml(file.content, file.name, file.layer, faults)
    return None if node is None else Reader(node, "", faults)


def _opened(content: Reader, sources: dict[str, SourceNote]) -> Defaults:
    content.format()
    content.only("format", "standing", "source", "sources", "parts", "families")
    content.mappings("sources")  # read before, when faults were left for now
    return read_defaults(content, Defaults("assumed", "", sources))


def _sources(
    files: Sequence[LayerFile], overrides: list[Override], faults: list[Fault]
) -> dict[str, SourceNote]:
    """Any file may name any source, so these are read first; all else wrong with their files is told later."""
    found: dict[str, SourceNote] = {}
    stands: dict[str, Origin] = {}
    for file in files:
        content = _tree(file, []) if b"sources" in file.content else None
        for given in content.mappings("sources") if content else ():
            given.faults = faults
            given.only("source", "title", "kind")
            note = SourceNote(given.ident("source"), given.text("title"), given.text("kind"))
            was, now = stands.get(note.id), given.origin("source")
            if note.id and was and was.layer == file.layer:
                _again(given, "source", note.id, was)
                continue
            overrides += [Override("source", note.id, was, now)] if was and note.id else []
            found[note.id], stands[note.id] = note, now
    return found


def _again(given: Reader, key: str, id_: str, first: Origin) -> None:
    given.fault(key, f"{id_} a second time", "each id once in a layer", f"The first is at {first}.")


def _add(known: dict[str, _Known], found: _Known | None, given: Reader, key: str) -> _Known | None:
    """What it takes the place of; an id may come again in a later layer, but not in the same one."""
    if found is None:
        return None
    earlier = known.get(found.id)
    if earlier is not None and earlier.origin.layer == found.origin.layer:
        _again(given, key, found.id, earlier.origin)
        return None
    known[found.id] = found
    return earlier


def _override(what: str, was: Family, now: Family) -> Override:
    return Override(what, now.id, was.origin, now.origin)


def _dangling(knowledge: Knowledge) -> Iterator[Fault]:
    """Relations that lead to nothing known."""
    for part in knowledge.parts.values():
        for relation, targets in part.relations.items():
            known = knowledge.families if RELATIONS[relation] == "family" else knowledge.parts
            for target in targets:
                if target not in known:
                    path = f"{part.kind} {part.id}, {relation}"
                    expected = f"a known {RELATIONS[relation]}"
                    yield Fault(part.origin, path, quoted(target), expected, did_you_mean(target, known))
