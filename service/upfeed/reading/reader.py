"""Typed access to the values of a mapping; what does not fit becomes a fault, never an exception."""

import math
import re
from collections.abc import Iterable, Iterator

from upfeed.reading.faults import Fault, Origin, quoted
from upfeed.reading.nearest import did_you_mean, either
from upfeed.reading.nodes import Form, Mapping, Node, Scalar, Sequence, described

FORMAT = 1
"""The format of files that this program reads."""

LONGEST_IDENT = 80  # characters
_IDENT = re.compile(r"[A-Za-z0-9]+(?:-[A-Za-z0-9]+)*")
_WHOLE = re.compile(r"-?[0-9]{1,15}")


def is_ident(text: str) -> bool:
    """Tell whether text may be an id: letters and digits, joined by single hyphens, at most 80 characters."""
    return len(text) <= LONGEST_IDENT and _IDENT.fullmatch(text) is not None


class Reader:
    """Reads one mapping; `path` names it for people ("lifter BW-118") and may be set once its id is known.

    A value of null counts as absent. A value that has its fault from parsing reads as absent without another.
    """

    def __init__(self, node: Node, path: str, faults: list[Fault]) -> None:
        self.path = path
        self.faults = faults
        if not isinstance(node, Mapping):
            if not _refused(node):
                faults.append(Fault(node.origin, path, described(node), "a mapping"))
            node = Mapping({}, {}, node.origin)
        self._mapping = node

    def fault(self, key: str | None, found: str, expected: str, advice: str = "") -> None:
        """Add a fault about the value of a key, or about the whole mapping."""
        self.faults.append(Fault(self.origin(key), self.path_of(key), found, expected, advice))

    def path_of(self, key: str | None) -> str:
        """Return the path of a key's value: "lifter BW-118, feed_hole"."""
        return ", ".join(filter(None, (self.path, key)))

    def origin(self, key: str | None = None) -> Origin:
        """Return where a key stands, or the mapping itself where there is no such key."""
        return self._mapping.keys.get(key, self._mapping.origin) if key else self._mapping.origin

    def node(self, key: str) -> Node | None:
        """Return the node of a key; None where it is absent or null."""
        node = self._mapping.entries.get(key)
        return None if isinstance(node, Scalar) and node.form in {"null", "refused"} else node

    def items(self) -> Iterator[tuple[str, Node, Origin]]:
        """Yield every key with its node, null and refused ones too, and where the key stands, as written."""
        for key, node in self._mapping.entries.items():
            yield key, node, self._mapping.keys[key]

    def each(self) -> Iterator[tuple[str, "Reader"]]:
        """Yield every key with a reader of its value, which has to be a mapping."""
        for key, node, _ in self.items():
            yield key, Reader(node, self.path_of(key), self.faults)

    def only(self, *known: str) -> None:
        """Add a fault for every other key, naming the nearest known one."""
        for key in self._mapping.keys:
            if key not in known:
                expected = f"{either(known)} as a key" if known else "no keys"
                self.fault(key, f"the unknown key {quoted(key)}", expected, did_you_mean(key, known))

    def _missing(self, key: str, expected: str) -> None:
        if not _refused(self._mapping.entries.get(key)):
            self.fault(key, "nothing", expected)

    def _scalar(self, key: str, form: Form, expected: str) -> str | None:
        node = self.node(key)
        if node is None:
            return None
        if isinstance(node, Scalar) and node.form == form:
            return node.text
        self.fault(key, described(node), expected, _quoting(node) if form == "text" else "")
        return None

    def text(self, key: str, *, required: bool = True) -> str:
        """Return text; "" with a fault where it is required and absent."""
        if required and self.node(key) is None:
            self._missing(key, "text")
        return self.optional_text(key) or ""

    def optional_text(self, key: str) -> str | None:
        """Return text, or None where it is absent. Empty text is a fault."""
        text = self._scalar(key, "text", "text")
        if text is None or text.strip():
            return text
        self.fault(key, "empty text", "text")
        return None

    def ident(self, key: str) -> str:
        """Return an id; "" with a fault where it is absent or no id."""
        text = self.text(key)
        if not text or is_ident(text):
            return text
        expected = f"an id of letters, digits and single hyphens, at most {LONGEST_IDENT} characters"
        self.fault(key, quoted(text), expected)
        return ""

    def one_of(self, key: str, choices: Iterable[str]) -> str | None:
        """Return one of the choices, or None where it is absent or a fault."""
        text = self._scalar(key, "text", "text")
        known = tuple(choices)
        if text is None or text in known:
            return text
        self.fault(key, quoted(text), either(known), did_you_mean(text, known))
        return None

    def number(self, key: str) -> float | None:
        """Return a bare number, or None where it is absent or a fault."""
        text = self._scalar(key, "number", "a number")
        if text is None:
            return None
        number = float(text)
        if math.isfinite(number):
            return number
        self.fault(key, quoted(text), "a number of a possible size")
        return None

    def whole(self, key: str, least: int = 0) -> int | None:
        """Return a whole number of at least `least`, or None where it is absent or a fault."""
        text = self._scalar(key, "number", "a whole number")
        if text is None:
            return None
        if _WHOLE.fullmatch(text) and int(text) >= least:
            return int(text)
        self.fault(key, quoted(text), f"a whole number of at least {least}")
        return None

    def flag(self, key: str, default: bool) -> bool:
        """Return true or false, the default where it is absent."""
        text = self._scalar(key, "boolean", "true or false")
        return default if text is None else text.lower() == "true"

    def words(self, key: str) -> tuple[str, ...]:
        """Return a list of texts, empty where it is absent."""
        return tuple(filter(None, (self._word(key, item) for item in self._items(key))))

    def _word(self, key: str, node: Node) -> str | None:
        if isinstance(node, Scalar) and node.form == "text" and node.text.strip():
            return node.text
        if not _refused(node):
            self.faults.append(Fault(node.origin, self.path_of(key), described(node), "text", _quoting(node)))
        return None

    def _items(self, key: str) -> list[Node]:
        node = self.node(key)
        if node is None or isinstance(node, Sequence):
            return [] if node is None else node.items
        self.fault(key, described(node), "a list", "A list is written in brackets or with hyphens.")
        return []

    def mapping(self, key: str) -> "Reader | None":
        """Return a reader of a mapping, or None where it is absent or a fault."""
        node = self.node(key)
        if node is None or isinstance(node, Mapping):
            return None if node is None else Reader(node, self.path_of(key), self.faults)
        self.fault(key, described(node), "a mapping")
        return None

    def mappings(self, key: str) -> list["Reader"]:
        """Return readers of a list of mappings, empty where it is absent."""
        return [
            Reader(item, f"{self.path_of(key)} {place}", self.faults)
            for place, item in enumerate(self._items(key), 1)
        ]

    def format(self) -> bool:
        """Tell whether the file is of the format this program reads; a fault where it is not."""
        found = self.whole("format")
        if found is None and self.node("format") is None:
            self._missing("format", f"format: {FORMAT}")
        elif found is not None and found != FORMAT:
            advice = "A newer upfeed reads it." if found > FORMAT else ""
            self.fault("format", f"format {found}", f"format {FORMAT}, which this program reads", advice)
        return found == FORMAT


def _refused(node: Node | None) -> bool:
    return isinstance(node, Scalar) and node.form == "refused"


def _quoting(node: Node) -> str:
    written = isinstance(node, Scalar) and node.form in {"number", "boolean"}
    return f'Put it in quotes: "{node.text}".' if isinstance(node, Scalar) and written else ""
