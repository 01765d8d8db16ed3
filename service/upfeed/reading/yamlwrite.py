"""Plain data as YAML text, as people would write it: block style, in the order given, quoted only where it must be."""

from collections.abc import Mapping, Sequence
from typing import TypeAlias

import yaml

Plain: TypeAlias = str | int | Mapping[str, "Plain"] | Sequence["Plain"]

_WIDTH = 120


def write_yaml(content: Plain) -> str:
    """The text of a file; the same content gives the same text."""
    return yaml.safe_dump(
        content, sort_keys=False, allow_unicode=True, width=_WIDTH, default_flow_style=False
    )
