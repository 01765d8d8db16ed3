"""Layers of knowledge: folders of YAML files, a shop's own over what comes with upfeed."""

import hashlib
from collections.abc import Iterable, Iterator
from pathlib import Path

from msgspec import Struct

from upfeed.reading.faults import Fault, Origin


class Layer(Struct, frozen=True):
    """A folder of knowledge and the name it goes by in provenance."""

    name: str
    folder: Path


class LayerFile(Struct, frozen=True):
    """One file of a layer, not yet parsed."""

    layer: str
    name: str
    content: bytes


def read_files(layers: Iterable[Layer], faults: list[Fault]) -> list[LayerFile]:
    """Every YAML file of every layer, in order of layers and names; what can't be read is a fault."""
    return [file for layer in layers for file in _files(layer, faults)]


def digest_of(files: Iterable[LayerFile]) -> str:
    """What the files hold and which layers they are of, as hexadecimal SHA-256."""
    digest = hashlib.sha256()
    for file in files:
        own = hashlib.sha256(file.content).hexdigest()
        digest.update(f"{file.layer} {file.name} {own}\n".encode())
    return digest.hexdigest()


def _files(layer: Layer, faults: list[Fault]) -> Iterator[LayerFile]:
    if not layer.folder.is_dir():
        at = Origin(layer.name, layer.folder.as_posix())
        faults.append(Fault(at, "", "no such folder", "a folder of YAML files"))
        return
    for path in sorted(layer.folder.rglob("*")):
        inner = path.relative_to(layer.folder)
        if path.suffix not in (".yaml", ".yml") or any(part.startswith(".") for part in inner.parts):
            continue
        name, content = f"{layer.folder.name}/{inner.as_posix()}", _content(path)
        if isinstance(content, bytes):
            yield LayerFile(layer.name, name, content)
        else:
            expected = "a readable file, named as parts.yaml"
            faults.append(Fault(Origin(layer.name, name), "", content, expected))


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
