"""The digest of the program: its own code and the vocabulary that travels with it."""

import hashlib
from functools import cache
from pathlib import Path

from upfeed.reading.folders import PACKAGE, data_folder


@cache
def program() -> str:
    """Of the program's own code and the vocabulary that travels with it, as hexadecimal SHA-256."""
    vocabulary = data_folder("shared") / "vocabulary"
    digest = hashlib.sha256()
    for name, path in [*_below(PACKAGE, "*.py"), *_below(vocabulary, "*.yaml")]:
        digest.update(f"{name} {hashlib.sha256(path.read_bytes()).hexdigest()}\n".encode())
    return digest.hexdigest()


def _below(folder: Path, pattern: str) -> list[tuple[str, Path]]:
    return sorted((path.relative_to(folder).as_posix(), path) for path in folder.rglob(pattern))
