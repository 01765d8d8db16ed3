"""A question that takes computing, as its route hands it on: what was sent, to be answered from what, within what."""

from collections.abc import Callable
from typing import TypeAlias

from litestar import Response
from msgspec import Struct

from upfeed.answering.library import Library
from upfeed.judging.message import System
from upfeed.knowledge.records import BuildSheet
from upfeed.web.answers import Work
from upfeed.web.asked import samples_of, units_of
from upfeed.web.asking import Asked, computed, query_of
from upfeed.web.body import canonical, json_body, read_body, sheet_of
from upfeed.web.desk import Desk
from upfeed.web.limits import Limits, check_work


class Question(Struct, frozen=True):
    """The parameters of a query, the bytes of a body, and what they are answered from."""

    query: dict[str, str]
    sent: bytes
    library: Library
    limits: Limits

    @property
    def units(self) -> System:
        """Whose units are asked for."""
        return units_of(self.query)

    def samples(self, default: int | None = None) -> int:
        """How many draws are asked for."""
        return samples_of(self.query, default)

    def check_work(self, *sheets: BuildSheet, samples: int = 0, times: int = 1) -> None:
        """Raises Refusal for what is too much to compute, DataFaults for a build that can't be."""
        check_work(sheets, self.library, samples, self.limits, times)


Meant: TypeAlias = tuple[object, Work]
"""What was sent, in canonical form, and how to compute the answer."""


async def of_body(request: Asked, desk: Desk, read: Callable[[Question], Meant]) -> Response[bytes]:
    """The answer to a question with a body; `read` raises what is wrong with it."""
    sent, library = await json_body(request), desk.library
    question = Question(query_of(request), sent, library, desk.limits)
    return await computed(request, library, desk.answers, sent, lambda: read(question))


async def of_build(
    request: Asked, desk: Desk, read: Callable[[Question, BuildSheet], Work]
) -> Response[bytes]:
    """The answer to a question whose body is a build."""

    def meant(question: Question) -> Meant:
        node, faults = read_body(question.sent)
        return canonical(node), read(question, sheet_of(node, faults, question.library))

    return await of_body(request, desk, meant)
