"""Answers in rows: each row found kept, or computed while there is time, or told to be asked for again."""

from collections.abc import Sequence
from typing import Literal, TypeAlias

import msgspec
from msgspec import Struct

from upfeed.reading.faults import DataFaults
from upfeed.web.answers import Answers, Work
from upfeed.web.gzipped import whole
from upfeed.web.problem import Problem, Refusal, unusable


class Wanted(Struct, frozen=True):
    """A row that can be answered: the key that its answer has when it is asked for alone, and how to compute it."""

    key: str
    work: Work


Told: TypeAlias = bytes | Problem
"""An answer in gzip, or why there is none."""


class Rows:
    """Finds the answers of one request, row by row, until a time; what was computed is kept for the next request.

    One row at a time waits to be computed, so that others are served in between, and nothing is begun after that time.
    """

    def __init__(self, answers: Answers, by: float) -> None:
        self._answers, self._by = answers, by
        self.late: Refusal | None = None
        self.found: Literal["computed", "kept"] = "kept"

    async def told(self, wanted: Sequence[Wanted | Problem]) -> list[Told]:
        """What is told of each row. Raises Refusal where there is nothing but rows that were not reached."""
        told = [row if isinstance(row, Problem) else await self._row(row) for row in wanted]
        if self.late and all(row is self.late.problem for row in told):
            raise self.late
        return told

    async def _row(self, row: Wanted) -> Told:
        refused = self._answers.remembered(_refusal_of(row.key))
        if refused is not None:
            return msgspec.json.decode(refused, type=Problem)
        packed = await self._answers.kept(row.key, "gzip")
        if packed is not None:
            return packed
        return self.late.problem if self.late else await self._made(row)

    async def _made(self, row: Wanted) -> Told:
        try:
            packed = await self._answers.of(row.key, "gzip", row.work, self._by)
        except DataFaults as wrong:
            problem = unusable(wrong)
            self._answers.remember(_refusal_of(row.key), msgspec.json.encode(problem))
            return problem
        except Refusal as refusal:
            self.late = refusal
            return refusal.problem
        self.found = "computed"
        return packed


def _refusal_of(key: str) -> str:
    return f"{key} refused"


def in_rows(format_: int, told: Sequence[Told]) -> bytes:
    """The answer of all rows, each with the very bytes that it has alone but for their indentation."""
    rows = [
        {"state": "refused", "problem": row}
        if isinstance(row, Problem)
        else {"state": "checked", "answer": msgspec.Raw(whole(row))}
        for row in told
    ]
    return msgspec.json.format(msgspec.json.encode({"format": format_, "checks": rows}), indent=2) + b"\n"
