"""The tree that YAML and JSON are read into: every value with where it was written."""

from typing import Literal, TypeAlias

from msgspec import Struct

from upfeed.reading.faults import Origin, quoted

DEEPEST = 40  # levels of mappings and lists, one in another

Form: TypeAlias = Literal["text", "number", "boolean", "null", "refused"]
"""What a scalar was written as; "refused" has its fault already and asks for no other."""


class Scalar(Struct, frozen=True, gc=False):
    """A single value: its text as written, not yet converted."""

    text: str
    form: Form
    origin: Origin


class Mapping(Struct, frozen=True, gc=False):
    """Values by key, in the order written; `keys` says where each key stands."""

    entries: "dict[str, Node]"
    keys: dict[str, Origin]
    origin: Origin


class Sequence(Struct, frozen=True, gc=False):
    """A list of values."""

    items: "list[Node]"
    origin: Origin


Node: TypeAlias = Scalar | Mapping | Sequence


def alone(node: Node, above: str) -> Node:
    """The same tree with its pointers counted from itself, which stands at the pointer `above`."""
    origin = _from(node.origin, above)
    if isinstance(node, Scalar):
        return Scalar(node.text, node.form, origin)
    if isinstance(node, Sequence):
        return Sequence([alone(item, above) for item in node.items], origin)
    entries = {key: alone(below, above) for key, below in node.entries.items()}
    return Mapping(entries, {key: _from(at, above) for key, at in node.keys.items()}, origin)


def _from(origin: Origin, above: str) -> Origin:
    return Origin(origin.layer, origin.file, origin.line, origin.pointer.removeprefix(above))


def described(node: Node) -> str:
    """Say what a node is, as a fault says what it found."""
    if isinstance(node, Mapping):
        return "a mapping"
    if isinstance(node, Sequence):
        return "a list"
    if node.form == "null":
        return "nothing"
    shown = quoted(node.text)
    return f"the text {shown}" if node.form == "text" else f"the {node.form} {shown[1:-1]}"
