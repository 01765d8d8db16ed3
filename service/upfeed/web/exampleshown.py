"""What of an answer the contract shows: long lists cut, and what changes with every edit replaced."""

import re
from typing import Any

_ENTRIES, _WORDS, _LINES = 2, 12, 8
"""How much of a list is shown, of a list of bare words or numbers, and of a text."""

CUT_TOLD = f"Lists are cut to {_ENTRIES} entries, lists of bare words or numbers to {_WORDS}, texts to {_LINES} lines."
INVENTED_TOLD = "Digests and cursors are invented: they change with every edit of what is answered from."

_DIGEST = re.compile(r"[0-9a-f]{64}")
_CURSOR = re.compile(r"(?<=[?&]cursor=)[A-Za-z0-9_-]+")
INVENTED_DIGEST, INVENTED_CURSOR = "0123456789abcdef" * 4, "MDEyMzQ1Njc4OWFiY2RlZi5YWC0w"
"""Stand for digests and cursors, which are others after every edit of the program, the knowledge or the rules."""


def cut(value: Any) -> Any:
    """An answer with the first entries of each list, or the first lines of a text."""
    if isinstance(value, str):
        return "".join(value.splitlines(keepends=True)[:_LINES])
    return _cut(value)


def _cut(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _cut(below) for key, below in value.items()}
    if isinstance(value, list):
        is_bare = not any(isinstance(entry, dict | list) for entry in value)
        return [_cut(entry) for entry in value[: _WORDS if is_bare else _ENTRIES]]
    return value


def head_of_contract(contract: dict[str, Any]) -> dict[str, Any]:
    """A contract without its operations and components: it would hold itself."""
    return {key: value for key, value in contract.items() if key not in ("paths", "components")}


def with_invented(value: Any) -> Any:
    """An answer with invented digests and cursors in place of its own."""
    if isinstance(value, dict):
        return {key: with_invented(below) for key, below in value.items()}
    if isinstance(value, list):
        return [with_invented(entry) for entry in value]
    if isinstance(value, str):
        return INVENTED_DIGEST if _DIGEST.fullmatch(value) else _CURSOR.sub(INVENTED_CURSOR, value)
    return value
