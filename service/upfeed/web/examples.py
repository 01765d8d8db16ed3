"""The builds that travel with this program, as JSON."""

import json
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from upfeed.reading.faults import DataFaults, Fault
from upfeed.reading.folders import data_folder
from upfeed.reading.nodes import Mapping, Node, Scalar
from upfeed.reading.yamltree import read_yaml

_BARE: dict[str, Callable[[str], Any]] = {
    "number": json.loads,
    "boolean": lambda text: text.lower() == "true",
    "null": lambda _: None,
}


EXAMPLES = ("reference", "blind-lifter", "preload-lost", "one-odd-lifter", "feed-hole-unknown")
"""Builds that show in the contract what a build may hold: nothing, a part, a setting, positions, sizes."""


def example_builds(ids: Iterable[str] = EXAMPLES) -> dict[str, Any]:
    """Builds as JSON has them, by id. Raises DataFaults for a file that can't be read."""
    return {id_: _example(data_folder("shared") / "builds" / f"{id_}.yaml") for id_ in ids}


def _example(path: Path) -> Any:
    faults: list[Fault] = []
    node = read_yaml(path.read_bytes(), path.name, "", faults)
    if node is None or faults:
        raise DataFaults(faults)
    return as_json(node)


def as_json(node: Node) -> Any:
    """What a tree holds, as JSON has it."""
    if isinstance(node, Scalar):
        return _BARE[node.form](node.text) if node.form in _BARE else node.text
    if isinstance(node, Mapping):
        return {key: as_json(below) for key, below in node.entries.items()}
    return [as_json(item) for item in node.items]
