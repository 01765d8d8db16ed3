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
