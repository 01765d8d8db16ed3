"""Rows and cells of a spreadsheet saved as text; no cell may compute when somebody opens the file."""

import csv
import io
from collections.abc import Iterator

from msgspec.structs import replace

from upfeed.reading.faults import Fault, Origin
from upfeed.reading.rawtext import plain_text

_SEPARATORS = (";", "\t", ",")
_BOM = b"\xef\xbb\xbf"

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""Characters with which spreadsheets begin to compute (OWASP, "CSV Injection")."""


def defused(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula: text behind an apostrophe where it would."""
    return f"'{cell}" if cell.startswith((*_STARTS_A_FORMULA, "'")) else cell


def as_meant(cell: str) -> str:
    """The cell that was defused, or any other as it is, without blanks around it."""
    plain = cell.strip()
    return plain[1:] if plain.startswith("'") else plain


Row = tuple[Origin, list[str]]
"""Where a row stands, and its cells."""


def rows_of(content: bytes, file: str, faults: list[Fault]) -> list[Row]:
    """Every row that is not empty, the head first; the separator is the one the head has most of."""
    at = Origin(file=file)
    # Spreadsheets write a byte order mark of their own accord.
    text = plain_text(content.removeprefix(_BOM), at, faults)
    rows = list(_rows(text, at, faults)) if text else []
    if not rows and not faults:
        faults.append(Fault(at, "", "no rows", "a head, and a row a part"))
    return rows


def _rows(text: str, at: Origin, faults: list[Fault]) -> Iterator[Row]:
    separator = max(_SEPARATORS, key=text.split("\n", 1)[0].count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield replace(at, line=reader.line_num), cells
    except csv.Error as error:
        found = f"a row that can't be read ({error})"
        faults.append(Fault(replace(at, line=reader.line_num), "", found, "separated values (RFC 4180)"))
