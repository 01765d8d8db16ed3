"""Answers in rows: each row found kept, or computed while there is time, or told to be asked for again."""

from collections.abc import Sequence
from typing import Literal, TypeAlias

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from upfeed.answering.several import Refused, refused
from upfeed.reading.faults import DataFaults, Fault, Origin
from upfeed.web.answers import Answers, Work
from upfeed.web.gzipped import whole
from upfeed.web.problem import Flaw, Refusal


class Wanted(Struct, frozen=True):
    """A build that can be checked: its name, the key that its answer has when it is asked for alone, and how."""

    build: str
    key: str
    work: Work


class Packed(Struct, frozen=True):
    """A build's answer in gzip."""

    build: str
    answer: bytes


Told: TypeAlias = Packed | Refused


class Rows:
    """Finds the answers of one request, row by row, until a time; what was computed is kept for the next request.

    One row at a time waits to be computed, so that others are served in between, and nothing is begun after that time.
    """

    def __init__(self, answers: Answers, by: float) -> None:
        self._answers, self._by = answers, by
        self.late: Refusal | None = None
        self.found: Literal["computed", "kept"] = "kept"

    async def told(self, wanted: Sequence[Wanted | Refused]) -> list[Told]:
        """What is told of each row. Raises Refusal where there is nothing but rows that were not reached."""
        found = [row if isinstance(row, Refused) else await self._row(row) for row in wanted]
        told = [row for row in found if row is not None]
        if self.late and not told:
            raise self.late
        return [row or self._not_reached(build.build) for row, build in zip(found, wanted, strict=True)]

    async def _row(self, row: Wanted) -> Told | None:
        """What is told of a build; None where it was not reached."""
        faults = self._answers.remembered(_faults_of(row.key))
        if faults is not None:
            return unusable(row.build, msgspec.json.decode(faults, type=list[Fault]))
        packed = await self._answers.kept(row.key, "gzip")
        if packed is not None:
            return Packed(row.build, packed)
        return None if self.late else await self._made(row)

    async def _made(self, row: Wanted) -> Told | None:
        try:
            packed = await self._answers.of(row.key, "gzip", row.work, self._by)
        except DataFaults as wrong:
            self._answers.remember(_faults_of(row.key), msgspec.json.encode(wrong.faults))
            return unusable(row.build, wrong.faults)
        except Refusal as late:
            self.late = late
            return None
        self.found = "computed"
        return Packed(row.build, packed)

    def _not_reached(self, build: str) -> Refused:
        assert self.late
        return refused_as(build, self.late)


def unusable(build: str, faults: Sequence[Fault]) -> Refused:
    """A build that can't be checked, told as if it were a file of that name."""
    return refused(build, [_in_file(fault, build) for fault in faults])


def refused_as(build: str, refusal: Refusal) -> Refused:
    """A build that is refused as it would be alone."""
    problem = refusal.problem
    faults = [_fault_of(wrong, build) for wrong in problem.errors]
    return refused(build, faults, problem.type.rpartition("/")[2], problem.detail)


def _fault_of(wrong: Flaw, build: str) -> Fault:
    pointer = wrong.pointer if wrong.where == "body" else ""
    path = "" if wrong.where == "body" else wrong.pointer.removeprefix("/")
    return Fault(Origin(file=build, pointer=pointer), path, wrong.found, wrong.expected, wrong.advice or "")


def _in_file(fault: Fault, file: str) -> Fault:
    return replace(fault, origin=replace(fault.origin, file=file))


def _faults_of(key: str) -> str:
    return f"{key} faults"


def in_rows(format_: int, told: Sequence[Told]) -> bytes:
    """The answer of all rows, each with the very bytes that it has alone but for their indentation."""
    rows = [
        row
        if isinstance(row, Refused)
        else {"state": "checked", "build": row.build, "answer": msgspec.Raw(whole(row.answer))}
        for row in told
    ]
    return msgspec.json.format(msgspec.json.encode({"format": format_, "checks": rows}), indent=2) + b"\n"
