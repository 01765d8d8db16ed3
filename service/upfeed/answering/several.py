"""Several builds checked one after the other: what is wrong with one says nothing of the others."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TypeAlias

from msgspec import Struct

from upfeed.answering.answer import Answer
from upfeed.answering.buildfile import builds_in, read_build
from upfeed.answering.check import check
from upfeed.answering.library import Library
from upfeed.judging.message import System
from upfeed.knowledge.records import BuildSheet
from upfeed.reading.faults import DataFaults, Fault, Origin

Judge: TypeAlias = Callable[[BuildSheet, Library, System, int], Answer]
"""Answers a check with so many draws. Raises DataFaults for a build that can't be."""


class BuildFault(Struct, frozen=True, forbid_unknown_fields=True):
    """One thing wrong with a build: where, what was found and expected, and all of it in one sentence.

    `file` is what the build goes by; a place in it is a `line` of YAML, in JSON a `pointer` that counts from the build.
    """

    file: str
    line: int | None
    pointer: str | None
    path: str
    found: str
    expected: str
    advice: str | None
    says: str


class Checked(Struct, frozen=True, forbid_unknown_fields=True, tag_field="state", tag="checked"):
    """A build that was checked, by the name it was sent under, with its whole answer."""

    build: str
    answer: Answer


class Refused(Struct, frozen=True, forbid_unknown_fields=True, tag_field="state", tag="refused"):
    """A build that was not checked: why, and everything that is wrong with it.

    `kind` is the id of a kind of problem, as the service lists them under /v1/problems.
    """

    build: str
    kind: str
    says: str
    faults: list[BuildFault]


class Checks(Struct, frozen=True, forbid_unknown_fields=True):
    """What becomes of each of several builds, in the order in which they were sent."""

    format: int
    checks: list[Checked | Refused]


UNUSABLE, UNUSABLE_SAYS = "unusable-build", "The build can't be checked as it is."
"""The kind of problem of a build that can be read but not checked, and what it says."""


def check_each(
    paths: Sequence[str], library: Library, system: System, samples: int, judge: Judge = check
) -> Iterator[Checked | Refused]:
    """Check every build of these files and folders once, in the order given; `-` is standard input.

    Raises DataFaults where standard input is named more than once.
    """
    if paths.count("-") > 1:
        twice = Fault(Origin(file="standard input"), "", "two builds", "no more than one build from there")
        raise DataFaults([twice])
    done: set[str] = set()
    for path in paths:
        try:
            files = builds_of(path)
        except DataFaults as wrong:
            yield refused(path, wrong.faults)
            continue
        for file in files:
            if file not in done:
                done.add(file)
                yield _outcome(file, lambda sheet: judge(sheet, library, system, samples), library)


def builds_of(path: str) -> Sequence[str]:
    """The builds that a path stands for: those of a folder, else itself. Raises DataFaults for an empty folder."""
    return [str(file) for file in builds_in(Path(path))] if is_folder(path) else [path]


def is_folder(path: str) -> bool:
    """Whether a path stands for a folder of builds."""
    return path != "-" and Path(path).is_dir()


def _outcome(file: str, judge: Callable[[BuildSheet], Answer], library: Library) -> Checked | Refused:
    try:
        return Checked(file, judge(read_build(file, library)))
    except DataFaults as wrong:
        return refused(file, wrong.faults)


def refused(build: str, faults: Iterable[Fault], kind: str = UNUSABLE, says: str = UNUSABLE_SAYS) -> Refused:
    """A build that was not checked, for these faults."""
    return Refused(build, kind, says, [_told(fault) for fault in faults])


def _told(fault: Fault) -> BuildFault:
    return BuildFault(
        file=fault.origin.file,
        line=fault.origin.line or None,
        pointer=fault.origin.pointer or None,
        path=fault.path,
        found=fault.found,
        expected=fault.expected,
        advice=fault.advice or None,
        says=str(fault),
    )
