"""What the routes answer from, under one name: a framework hands out several things one by one, each at a cost."""

from typing import TypeAlias

from litestar.di import NamedDependency
from litestar.params import SkipValidation
from msgspec import Struct

from upfeed.answering.library import Library
from upfeed.web.answers import Answers
from upfeed.web.current import Current
from upfeed.web.limits import Limits
from upfeed.web.metrics import Metrics


class Desk(Struct, frozen=True):
    """The library in use, answers that were kept, limits, figures and the contract."""

    current: Current
    answers: Answers
    limits: Limits
    metrics: Metrics
    contract: bytes

    @property
    def library(self) -> Library:
        """The library in use; an answer is from the one that it began with."""
        return self.current.library


At: TypeAlias = NamedDependency[SkipValidation[Desk]]
Known: TypeAlias = NamedDependency[SkipValidation[Library]]
