"""Answers as they were kept, as far as later ones are held against them; what else they hold may have been renamed."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

import msgspec
from msgspec import Struct

from upfeed.answering.answer import FORMAT
from upfeed.judging.rules import Weight
from upfeed.judging.verdict import Verdict
from upfeed.reading.faults import DataFaults, Fault, Origin

_EXPECTED = "what upfeed check --format json wrote"


class EarlierFigure(Struct, frozen=True):
    """The number by which a finding was better or worse, SI."""

    name: str
    value: float
    shown: str
    worse_with: Literal["more", "less"]


class EarlierFinding(Struct, frozen=True):
    """A finding as it was."""

    id: str
    weighs: Weight
    figure: EarlierFigure | None
    accepted: dict[str, Any] | None


class Earlier(Struct, frozen=True):
    """An answer as it was."""

    format: int
    verdict: Verdict
    decided_by: list[str]
    findings: list[EarlierFinding]


class _EarlierRow(Struct, frozen=True):
    build: str
    answer: Earlier | None = None


class _EarlierChecks(Struct, frozen=True):
    format: int
    checks: list[_EarlierRow]


_NONE = msgspec.Raw()


class _Head(Struct, frozen=True):
    checks: msgspec.Raw = _NONE


NOTHING = Earlier(FORMAT, "go", [], [])
"""An answer beside which everything is new."""


class Baseline(Struct, frozen=True):
    """Earlier answers by build, or one of which the build was not kept."""

    answers: Mapping[str, Earlier]
    only: Earlier | None

    def of(self, build: str) -> Earlier:
        """The earlier answer of a build; NOTHING where there was none."""
        return self.only or self.answers.get(build, NOTHING)


def read_baseline(path: Path, *, of_several: bool) -> Baseline:
    """The answers of a file: one, or the list that several builds have.

    Raises DataFaults for a file that can't be read, and for one answer where several builds are to be held against it.
    """
    told = _decoded(path)
    if isinstance(told, Earlier):
        if of_several:
            raise _unusable(path, "one answer", "the list of answers that several builds have")
        return Baseline({}, _known(told, path))
    return Baseline({one.build: _known(one.answer, path) for one in told.checks if one.answer}, None)


def _decoded(path: Path) -> Earlier | _EarlierChecks:
    try:
        content = path.read_bytes()
        if msgspec.json.decode(content, type=_Head).checks == _NONE:
            return msgspec.json.decode(content, type=Earlier)
        return msgspec.json.decode(content, type=_EarlierChecks)
    except OSError as error:
        raise _unusable(path, (error.strerror or "an unreadable file").lower(), _EXPECTED) from error
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise _unusable(path, f"text that is no answer ({error})", _EXPECTED) from error
    except RecursionError as error:
        raise _unusable(path, "text that is nested too deep", _EXPECTED) from error


def _known(answer: Earlier, path: Path) -> Earlier:
    if answer.format != FORMAT:
        raise _unusable(path, f"an answer of format {answer.format}", f"format {FORMAT}")
    return answer


def _unusable(path: Path, found: str, expected: str) -> DataFaults:
    return DataFaults([Fault(Origin(file=str(path)), "", found, expected)])
