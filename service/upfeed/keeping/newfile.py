"""Puts a new file into a shop's folder: tried beside everything else first, then whole or not at all."""

import os
import tempfile
from collections.abc import Sequence
from pathlib import Path

from upfeed.answering.library import layers_over, open_library
from upfeed.knowledge.records import Override
from upfeed.reading.faults import DataFaults, Fault, Origin
from upfeed.reading.folders import data_folder


def put(content: str, into: Path, kb: Sequence[Path], rules: Sequence[Path]) -> None:
    """Write a file of the knowledge base that loads over the base, `kb` and what its folder holds already.

    Raises DataFaults with everything that would be wrong; then nothing is written.
    """
    if into.exists():
        raise DataFaults([Fault(Origin(file=str(into)), "", "a file that is there already", "a new file")])
    with tempfile.TemporaryDirectory() as somewhere:
        folder = Path(somewhere) / (
            into.parent.resolve().name or "new"
        )  # faults then name the file as it will be
        folder.mkdir()
        (folder / into.name).write_text(content, encoding="utf-8")
        over = (*kb, into.parent) if into.parent.is_dir() else tuple(kb)
        layer = layers_over(data_folder("kb"), (*over, folder))[-1].name
        library = open_library((*over, folder), rules)
    again = [o for o in library.overrides if o.now.layer == layer]
    if again:
        raise DataFaults(_known_already(o) for o in again)
    _written_whole(content, into)


def _known_already(override: Override) -> Fault:
    expected = f"a new id; the other is at {override.was}"
    return Fault(override.now, f"{override.what} {override.id}", "an id that is known already", expected)


def _written_whole(content: str, into: Path) -> None:
    into.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=".", dir=into.parent)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(content)
    Path(name).replace(into)
