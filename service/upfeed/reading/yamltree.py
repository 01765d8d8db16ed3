"""YAML and JSON into one tree of nodes with origins; what readers disagree on is a fault, not a value."""

import yaml

from upfeed.reading.compose import Composer, UnreadableError
from upfeed.reading.faults import Fault, Origin
from upfeed.reading.jsontree import read_json
from upfeed.reading.nodes import Form, Mapping, Node, Scalar, Sequence, described
from upfeed.reading.rawtext import plain_text

__all__ = ["Form", "Mapping", "Node", "Scalar", "Sequence", "described", "read_json", "read_yaml"]

LOADER = yaml.CSafeLoader if yaml.__with_libyaml__ else yaml.SafeLoader

_ADVICE = {
    "mapping values are not allowed": 'Text that holds ": " goes in quotes.',
    "cannot start any token": "Indent with spaces; text that begins with @, ` or % goes in quotes.",
}
_CHECK = "Check indentation, quotes and brackets here and just above."


def _syntax_fault(error: Exception, file: str, layer: str) -> Fault:
    mark = getattr(error, "problem_mark", None)
    problem = getattr(error, "problem", None) or str(error).partition("\n")[0]
    advice = next((advice for part, advice in _ADVICE.items() if part in problem), _CHECK)
    line = mark.line + 1 if mark else 0
    return Fault(Origin(layer, file, line), "", f"text that is not YAML ({problem})", "YAML", advice)


def _compose(text: str, file: str, layer: str, faults: list[Fault]) -> Node | None:
    composer = Composer(file, layer, faults)
    try:
        parser = LOADER(text)
        while (event := parser.get_event()) is not None:
            composer.take(event)
    except UnreadableError as error:
        faults.append(error.fault)
        return None
    except (
        yaml.YAMLError,
        ValueError,
        OverflowError,
    ) as error:  # the pure parser lets \UFFFFFFFF through to chr
        faults.append(_syntax_fault(error, file, layer))
        return None
    root = composer.root
    if root is None or (isinstance(root, Scalar) and root.form == "null"):
        advice = "Write the file, or take it away."
        faults.append(Fault(Origin(layer, file), "", "an empty document", "a mapping", advice))
        return None
    return root


def read_yaml(text: str | bytes, file: str, layer: str, faults: list[Fault]) -> Node | None:
    """Return the tree of a YAML document, its origins in `file` of `layer`.

    Everything wrong is added to `faults`; None where nothing can be read.
    """
    readable = plain_text(text, Origin(layer, file), faults)
    return None if readable is None else _compose(readable, file, layer, faults)
