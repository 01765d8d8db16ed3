"""Faults in data: what was found, where, what was expected and what to do about it."""

from collections.abc import Iterable

from msgspec import Struct


class Origin(Struct, frozen=True, gc=False, array_like=True):
    """Where a value was written: a layer's file and line, or a JSON pointer into a build."""

    layer: str = ""
    file: str = ""
    line: int = 0
    pointer: str = ""

    def __str__(self) -> str:
        place = f"line {self.line}" if self.line else f"at {self.pointer}" if self.pointer else ""
        return ", ".join(filter(None, (self.file, place))) or "at /"


class Fault(Struct, frozen=True):
    """One thing wrong with the data, told so that it can be mended without asking."""

    origin: Origin
    path: str
    found: str
    expected: str
    advice: str = ""

    def __str__(self) -> str:
        place = f"{self.origin}, {self.path}" if self.path else str(self.origin)
        told = f"{place}: found {self.found}; expected {self.expected}."
        return f"{told} {self.advice}" if self.advice else told


def quoted(text: str, longest: int = 60) -> str:
    """Return text in quotes for a fault: on one line, printable, and cut short."""
    shown = text if len(text) <= longest else f"{text[: longest - 3]}..."
    return f'"{visible(shown)}"'


def visible(text: str) -> str:
    """Return text with every character that does not print, line ends among them, as its number."""
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


def _reading_order(fault: Fault) -> tuple[str, int, str, str]:
    return (fault.origin.file, fault.origin.line, fault.origin.pointer, fault.path)


class DataFaults(Exception):  # noqa: N818 - it holds faults
    """Every fault found in one reading, in the order of files and lines."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(sorted(faults, key=_reading_order))
        super().__init__("\n".join(str(fault) for fault in self.faults))
