"""Loads the knowledge base: every YAML file of every layer, later layers over earlier ones, all faults at once."""

import hashlib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TypeVar

from msgspec import Struct

from upfeed.familyfile import read_family
from upfeed.faults import DataFaults, Fault, Origin, quoted
from upfeed.nearest import did_you_mean
from upfeed.partfile import RELATIONS, read_defaults, read_part
from upfeed.reader import Reader
from upfeed.records import Family, Knowledge, Part, SourceNote
from upfeed.values import Defaults, Notes
from upfeed.vocabulary import Vocabulary
from upfeed.yamltree import read_yaml

_Known = TypeVar("_Known", Part, Family)


class Layer(Struct, frozen=True):
    """A folder of knowledge and the name it goes by in provenance."""

    name: str
    folder: Path


class Loaded(Struct, frozen=True):
    """The knowledge, and values that are possible but unusual."""

    knowledge: Knowledge
    warnings: tuple[Fault, ...]


class _File(Struct, frozen=True):
    layer: str
    name: str
    digest: str
    content: Reader


def load(layers: Sequence[Layer], vocabulary: Vocabulary) -> Loaded:
    """Read all layers. Raises DataFaults with everything that is wrong in any file."""
    notes = Notes([], [])
    files = [file for layer in layers for file in _files(layer, notes)]
    sources = _sources(files)
    parts: dict[str, Part] = {}
    families: dict[str, Family] = {}
    for file in files:
        defaults = _opened(file, sources)
        for given in file.content.mappings("parts"):
            _add(parts, read_part(given, defaults, vocabulary, notes), given, "part")
        for given in file.content.mappings("families"):
            _add(families, read_family(given, defaults, vocabulary, notes), given, "family")
    knowledge = Knowledge(parts, families, sources, _digest(files))
    notes.faults.extend(_dangling(knowledge))
    if notes.faults:
        raise DataFaults(notes.faults)
    return Loaded(knowledge, tuple(notes.warnings))


def _files(layer: Layer, notes: Notes) -> Iterator[_File]:
    if not layer.folder.is_dir():
        at = Origin(layer.name, layer.folder.as_posix())
        notes.faults.append(Fault(at, "", "no such folder", "a folder of YAML files"))
        return
    for path in sorted(layer.folder.rglob("*")):
        inner = path.relative_to(layer.folder)
        if path.suffix in (".yaml", ".yml") and not any(part.startswith(".") for part in inner.parts):
            yield from _read(layer, path, f"{layer.folder.name}/{inner.as_posix()}", notes)


def _read(layer: Layer, path: Path, name: str, notes: Notes) -> Iterator[_File]:
    content = _content(path)
    if not isinstance(content, bytes):
        notes.faults.append(
            Fault(Origin(layer.name, name), "", content, "a readable file, named as parts.yaml")
        )
        return
    node = read_yaml(content, name, layer.name, notes.faults)
    if node is not None:
        digest = hashlib.sha256(content).hexdigest()
        yield _File(layer.name, name, digest, Reader(node, "", notes.faults))


def _content(path: Path) -> bytes | str:
    """What a file holds, or why it can't be used."""
    if path.suffix != ".yaml":
        return f"a name that ends in {path.suffix}"
    if not path.name.isprintable():
        return "a name that can't be printed"
    try:
        return path.read_bytes()
    except OSError as error:
        return f"an unreadable file ({error.strerror})"


def _opened(file: _File, sources: dict[str, SourceNote]) -> Defaults:
    file.content.format()
    file.content.only("format", "standing", "source", "sources", "parts", "families")
    return read_defaults(file.content, Defaults("assumed", "", sources))


def _sources(files: Sequence[_File]) -> dict[str, SourceNote]:
    found: dict[str, SourceNote] = {}
    first: dict[tuple[str, str], Origin] = {}
    for file in files:
        for given in file.content.mappings("sources"):
            given.only("source", "title", "kind")
            note = SourceNote(given.ident("source"), given.text("title"), given.text("kind"))
            if note.id and (file.layer, note.id) in first:
                _again(given, "source", note.id, first[file.layer, note.id])
            first.setdefault((file.layer, note.id), given.origin("source"))
            found[note.id] = note
    return found


def _again(given: Reader, key: str, id_: str, first: Origin) -> None:
    given.fault(key, f"{id_} a second time", "each id once in a layer", f"The first is at {first}.")


def _add(known: dict[str, _Known], found: _Known | None, given: Reader, key: str) -> None:
    """An id may come again in a later layer, which overrides, but not in the same one."""
    if found is None:
        return
    earlier = known.get(found.id)
    if earlier is not None and earlier.origin.layer == found.origin.layer:
        _again(given, key, found.id, earlier.origin)
        return
    known[found.id] = found


def _digest(files: Sequence[_File]) -> str:
    digest = hashlib.sha256()
    for file in files:
        digest.update(f"{file.layer} {file.name} {file.digest}\n".encode())
    return digest.hexdigest()


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
