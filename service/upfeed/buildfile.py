"""Reads a build from a file or from standard input, YAML or JSON alike."""

import sys
from pathlib import Path

from upfeed.faults import DataFaults, Fault, Origin
from upfeed.jsontree import read_json
from upfeed.library import Library
from upfeed.nodes import Node
from upfeed.records import BuildSheet
from upfeed.sheet import read_sheet
from upfeed.yamltree import read_yaml


def read_build(path: str, library: Library) -> BuildSheet:
    """The sheet of a build; `-` is standard input. Raises DataFaults with everything wrong in it."""
    faults: list[Fault] = []
    node = _tree(path, _content(path), faults)
    sheet = read_sheet(node, library.knowledge, library.vocabulary, faults) if node else None
    if sheet is None or faults:
        raise DataFaults(faults)
    return sheet


def _content(path: str) -> bytes:
    try:
        return sys.stdin.buffer.read() if path == "-" else Path(path).read_bytes()
    except OSError as error:
        found = error.strerror or "an unreadable file"
        raise DataFaults([Fault(Origin("", path), "", found.lower(), "a build in YAML or JSON")]) from error


def _tree(path: str, content: bytes, faults: list[Fault]) -> Node | None:
    if path.endswith(".json") or content.lstrip()[:1] == b"{":
        return read_json(content, faults)
    return read_yaml(content, path, "", faults)
