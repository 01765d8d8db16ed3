"""Saved builds judged by two knowledge bases: which verdicts change, and by what findings."""

from pathlib import Path

from msgspec import Struct

from upfeed.answering.answer import Answer
from upfeed.answering.buildfile import builds_in, read_build
from upfeed.answering.check import check
from upfeed.answering.library import Library
from upfeed.reading.faults import DataFaults, Fault


class Rechecked(Struct, frozen=True):
    """A saved build's verdicts, and the ids of findings that only one of the two answers has."""

    file: str
    was: str
    now: str
    gone: tuple[str, ...]
    new: tuple[str, ...]

    @property
    def differs(self) -> bool:
        """Whether anything at all is said otherwise."""
        return self.was != self.now or bool(self.gone or self.new)


def recheck(folder: Path, before: Library, after: Library) -> tuple[list[Rechecked], list[Fault]]:
    """Every build of a folder, in order of names, judged by both, and what is wrong with those that can't be."""
    told: list[Rechecked] = []
    faults: list[Fault] = []
    for path in builds_in(folder):
        try:
            was, now = (check(read_build(str(path), library), library) for library in (before, after))
        except DataFaults as wrong:
            faults.extend(wrong.faults)
        else:
            told.append(_compared(str(path), was, now))
    return told, faults


def _compared(file: str, was: Answer, now: Answer) -> Rechecked:
    before, after = ({finding.id: None for finding in answer.findings} for answer in (was, now))
    gone, new = (
        tuple(id_ for id_ in before if id_ not in after),
        tuple(id_ for id_ in after if id_ not in before),
    )
    return Rechecked(file, was.verdict, now.verdict, gone, new)
