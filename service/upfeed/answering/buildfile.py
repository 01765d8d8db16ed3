"""Reads a build from a file or from standard input, YAML or JSON alike."""

import sys
from collections.abc import Sequence
from pathlib import Path

from msgspec.structs import replace

from upfeed.answering.library import Library
from upfeed.knowledge.records import BuildSheet
from upfeed.knowledge.sheet import read_sheet
from upfeed.reading.faults import DataFaults, Fault, Origin
from upfeed.reading.jsontree import read_json
from upfeed.reading.yamltree import read_yaml

_BUILDS = (".yaml", ".yml", ".json")


def read_build(path: str, library: Library) -> BuildSheet:
    """The sheet of a build; `-` is standard input. Raises DataFaults with everything wrong in it."""
    faults: list[Fault] = []
    file = "standard input" if path == "-" else path
    content = sys.stdin.buffer.read() if path == "-" else _content(path)
    node = read_json(content, faults) if _is_json(path, content) else read_yaml(content, file, "", faults)
    sheet = read_sheet(node, library.knowledge, library.vocabulary, faults) if node else None
    if sheet is None or faults:
        raise DataFaults(_in_file(fault, file) for fault in faults)
    return sheet


def read_builds(paths: Sequence[str], library: Library) -> list[BuildSheet]:
    """The sheets of several builds, at most one of them from standard input.

    Raises DataFaults with everything wrong in any of them.
    """
    if paths.count("-") > 1:
        twice = Fault(Origin(file="standard input"), "", "two builds", "no more than one build from there")
        raise DataFaults([twice])
    sheets, faults = list[BuildSheet](), list[Fault]()
    for path in paths:
        try:
            sheets.append(read_build(path, library))
        except DataFaults as wrong:
            faults.extend(wrong.faults)
    if faults:
        raise DataFaults(faults)
    return sheets


def builds_in(folder: Path) -> Sequence[Path]:
    """Files of a folder and below it that may be builds, in order of name. Raises DataFaults where there are none."""
    found = sorted(path for path in folder.rglob("*") if path.suffix in _BUILDS and path.is_file())
    if not found:
        raise DataFaults([Fault(Origin(file=str(folder)), "", "no build", "builds in YAML or JSON")])
    return found


def _content(path: str) -> bytes:
    try:
        return Path(path).read_bytes()
    except OSError as error:
        found = (error.strerror or "an unreadable file").lower()
        raise DataFaults([Fault(Origin(file=path), "", found, "a build in YAML or JSON")]) from error


def _is_json(path: str, content: bytes) -> bool:
    """By its name; where that does not tell, by its first character."""
    if path.lower().endswith((".json", ".yaml", ".yml")):
        return path.lower().endswith(".json")
    return content.lstrip()[:1] == b"{"


def _in_file(fault: Fault, file: str) -> Fault:
    """JSON is told by pointers, which say nothing of the file."""
    return replace(fault, origin=replace(fault.origin, file=fault.origin.file or file))
