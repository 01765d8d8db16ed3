"""Digests of what an answer comes from: the same four give the same bytes."""

import hashlib

import msgspec

from upfeed.answering.answer import Digests
from upfeed.answering.library import Library
from upfeed.knowledge.records import BuildSheet, Fitting, Value
from upfeed.reading.programdigest import program

__all__ = ["digests", "of_sheet", "program"]


def digests(library: Library, sheet: BuildSheet) -> Digests:
    """The digests of one check, as hexadecimal SHA-256."""
    return Digests(program(), library.knowledge.digest, library.rulebook.digest, of_sheet(sheet))


def of_sheet(sheet: BuildSheet) -> str:
    """Of what a build says, whatever file or face it came by."""
    content = (
        *(sheet.id, sheet.name, sheet.family, sheet.as_of, sheet.open, sheet.accepts),
        {slot: [_fitting(f) for f in fittings] for slot, fittings in sheet.slots.items()},
        _values(sheet.settings),
        sheet.unknown,
        {point: _values(values) for point, values in sheet.points.items()},
    )
    return hashlib.sha256(msgspec.json.encode(content, order="sorted")).hexdigest()


def _fitting(fitting: Fitting) -> tuple[object, ...]:
    return (fitting.at, fitting.part, fitting.name, fitting.fill_from, _values(fitting.has), fitting.unknown)


def _values(has: dict[str, Value]) -> dict[str, tuple[object, ...]]:
    """With where each stands in the build, since answers say so."""
    return {
        n: (*_told(v), v.standing, v.source, v.plus_minus, v.note, v.origin.pointer) for n, v in has.items()
    }


def _told(value: Value) -> tuple[object, ...]:
    """As written; a table's few words leave out all but its ends."""
    return (value.written, value.magnitude) if isinstance(value.magnitude, tuple) else (value.written,)
