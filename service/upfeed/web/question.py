"""A question that takes computing, as its route hands it on: what was sent, to be answered from what, within what."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import TypeAlias

import msgspec
from litestar import Response
from msgspec import Struct
from msgspec.structs import replace

from upfeed.answering.library import Library
from upfeed.judging.message import System
from upfeed.knowledge.records import BuildSheet
from upfeed.reading.faults import DataFaults, Fault
from upfeed.reading.jsontree import read_json
from upfeed.reading.nodes import Node
from upfeed.web.answers import Work
from upfeed.web.asking import Asked, computed, open_query_of, settled_query_of
from upfeed.web.body import canonical, json_body, read_body, sheet_of
from upfeed.web.desk import Desk
from upfeed.web.dotted import Dotted, build_of, tables_of
from upfeed.web.limits import Limits, check_trials, check_work
from upfeed.web.problem import Flaw, Refusal, body_flaw


class Question(Struct, frozen=True):
    """The parameters that hold, the bytes of a body, and what they are answered from."""

    query: dict[str, str]
    sent: bytes
    library: Library
    limits: Limits

    @property
    def units(self) -> System:
        """Whose units are asked for."""
        return "si" if self.query.get("units") == "si" else "shop"

    @property
    def samples(self) -> int:
        """How many draws are asked for."""
        return int(self.query["samples"])

    def check_work(self, *sheets: BuildSheet, samples: int = 0, times: int = 1) -> None:
        """Raises Refusal for what is too much to compute, DataFaults for a build that can't be."""
        check_work(sheets, self.library, samples, self.limits, times)


Trials: TypeAlias = Callable[[Library], Iterator[BuildSheet]]

Meant: TypeAlias = tuple[object, Work]
"""What was sent, in canonical form, and how to compute the answer."""


async def of_library(
    request: Asked, desk: Desk, work: Callable[[Library], bytes], trials: Trials | None = None
) -> Response[bytes]:
    """What follows from the library alone, and from what the address and the query say.

    `trials` are the builds that are computed for it, which must not be too much work.
    """
    library = desk.library

    def meant() -> Meant:
        if trials:
            check_trials(trials(library), library, desk.limits)
        return "", lambda: work(library)

    return await computed(request, library, desk.answers, b"", meant)


async def of_body(request: Asked, desk: Desk, read: Callable[[Question], Meant]) -> Response[bytes]:
    """The answer to a question with a body; `read` raises what is wrong with it."""
    sent, library = await json_body(request), desk.library

    def meant() -> Meant:
        return read(Question(settled_query_of(request), sent, library, desk.limits))

    return await computed(request, library, desk.answers, sent, meant)


async def of_build(
    request: Asked, desk: Desk, read: Callable[[Question, BuildSheet], Work]
) -> Response[bytes]:
    """The answer to a question whose body is a build."""

    def meant(question: Question) -> Meant:
        node, faults = read_body(question.sent)
        return canonical(node), read(question, sheet_of(node, faults, question.library))

    return await of_body(request, desk, meant)


async def of_query(
    request: Asked, desk: Desk, read: Callable[[Question, BuildSheet], Work]
) -> Response[bytes]:
    """The answer to a question whose build stands in the query."""
    library, sent = desk.library, request.scope["query_string"]
    question, pairs = Question(settled_query_of(request), sent, library, desk.limits), open_query_of(request)

    def meant() -> Meant:
        dotted = build_of(pairs, tables_of(library.vocabulary))
        with _told_by_parameter(dotted):
            node, faults = _read(dotted)
            work = read(question, sheet_of(node, faults, library))
        return canonical(node), partial(_worked, work, dotted)

    return await computed(request, library, desk.answers, sent, meant)


def _read(dotted: Dotted) -> tuple[Node, list[Fault]]:
    """The tree of a build in the query and its faults. Raises DataFaults where it holds what no text may."""
    faults: list[Fault] = []
    node = read_json(msgspec.json.encode(dotted.build), faults)
    if node is None:
        raise DataFaults(faults)
    return node, faults


def _worked(work: Work, dotted: Dotted) -> bytes:
    with _told_by_parameter(dotted):
        return work()


@contextmanager
def _told_by_parameter(dotted: Dotted) -> Iterator[None]:
    """Faults of a build become faults of the query."""
    try:
        yield
    except DataFaults as wrong:
        flaws = [_in_query(body_flaw(fault), dotted) for fault in wrong.faults]
        raise Refusal("unusable-build", "The build can't be checked as it is.", flaws) from wrong


def _in_query(wrong: Flaw, dotted: Dotted) -> Flaw:
    name = dotted.parameter_at(wrong.pointer)
    return replace(wrong, where="query", pointer=f"/{name}" if name else "")
