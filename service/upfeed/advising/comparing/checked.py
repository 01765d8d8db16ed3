"""A build with its answer, and with what lets its numbers be set beside another's draw by draw."""

from msgspec import Struct

from upfeed.answering.answer import Answer
from upfeed.answering.check import answer_to
from upfeed.answering.evidence import Evidence
from upfeed.answering.library import Library
from upfeed.flow.drawn import can_be_drawn, drawn
from upfeed.flow.survey import survey
from upfeed.judging.message import System
from upfeed.knowledge.build import Build
from upfeed.knowledge.records import BuildSheet


class Checked(Struct, frozen=True):
    """A build with every slot filled, the answer to its check and its evidence.

    `whole`: nothing is missing or left open, so that it is drawn where draws are asked for.
    """

    build: Build
    answer: Answer
    evidence: Evidence
    whole: bool


def checked(sheet: BuildSheet, library: Library, system: System, samples: int) -> Checked:
    """A build and its answer. Raises DataFaults for a build that can't be."""
    surveyed = survey(sheet, library.knowledge, library.vocabulary, library.topologies)
    draws = drawn(surveyed, library.vocabulary, samples)
    answer = answer_to(surveyed, draws, library, system)
    evidence = Evidence(surveyed, library.vocabulary, system, draws)
    return Checked(surveyed.build, answer, evidence, can_be_drawn(surveyed))
