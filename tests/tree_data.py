"""The plain data of a tree, as an editor's YAML reader sees them."""

from pathlib import Path

from upfeed.reading.nodes import Mapping, Node, Scalar, Sequence
from upfeed.reading.yamltree import read_yaml


def data_of(path: Path) -> object:
    """What a file holds; it must parse."""
    faults = []
    node = read_yaml(path.read_bytes(), path.name, "base", faults)
    assert node is not None, faults
    return _plain(node)


def _plain(node: Node) -> object:
    match node:
        case Mapping():
            return {key: _plain(value) for key, value in node.entries.items()}
        case Sequence():
            return [_plain(item) for item in node.items]
        case Scalar(form="number"):
            return int(node.text) if node.text.lstrip("-").isdigit() else float(node.text)
        case Scalar(form="boolean"):
            return node.text.lower() == "true"
        case Scalar(form="null"):
            return None
    return node.text
