"""The bench sheet of a build: everything on it from the build's own answer and model."""

from upfeed.advising.sheet.asking import Bench
from upfeed.advising.sheet.benchsheet import FORMAT, BenchSheet
from upfeed.advising.sheet.drains import drains
from upfeed.advising.sheet.figures import Teller
from upfeed.advising.sheet.priming import gauge, priming
from upfeed.advising.sheet.primingcups import Cups
from upfeed.advising.sheet.tasks import Tasks
from upfeed.advising.sheet.thread import adjuster
from upfeed.advising.sheet.valves import Rows
from upfeed.answering.answer import Answer
from upfeed.answering.cautions import CAUTIONS
from upfeed.answering.check import answer_to
from upfeed.answering.evidence import Evidence
from upfeed.answering.library import Library
from upfeed.flow.drawn import drawn
from upfeed.flow.survey import survey
from upfeed.judging.message import System
from upfeed.knowledge.records import BuildSheet

AFTERWARDS_MINUTES = 20
AFTERWARDS = [
    "Engine off and cooled down as far as the preload was set at: recheck preload at every valve, as above.",
    "Oil and filter: drain into a clean pan, cut the filter open, wash the paper over a white cloth. Fine grey paste is"
    " running in; flakes that shine or chips that a magnet holds mean stop and find where they come from.",
    "Covers off once more: every rocker wet, no cover standing full, every drain clear.",
]
"""Common practice, no source."""

SIGN = ["measured by", "checked by", "date", "mechanical gauge no.", "licensed work done by"]


def bench_sheet(
    sheet: BuildSheet, library: Library, system: System = "shop", samples: int = 0, bench: Bench | None = None
) -> BenchSheet:
    """What to measure, how to put together, prime and start a build; `bench` is what is known beside it.

    Raises DataFaults for a build that can't be.
    """
    vocabulary, beside = library.vocabulary, bench or Bench()
    surveyed = survey(sheet, library.knowledge, vocabulary, library.topologies)
    draws = drawn(surveyed, vocabulary, samples)
    answer, evidence = (
        answer_to(surveyed, draws, library, system),
        Evidence(surveyed, vocabulary, system, draws),
    )
    tell = Teller(vocabulary, system)
    cups = Cups(surveyed, draws, vocabulary, tell)
    tasks = Tasks(surveyed.build, answer, vocabulary, system, beside).told()
    return BenchSheet(
        format=FORMAT,
        digests=answer.digests,
        name=answer.build.name,
        family=answer.build.family,
        verdict=answer.verdict,
        samples=answer.how_sure.samples,
        unknown=answer.unknown,
        tasks=tasks,
        valves=Rows(surveyed, evidence, vocabulary, cups, tell).told(tasks, beside),
        adjuster=adjuster(surveyed, evidence, beside, tell),
        drains=drains(surveyed, vocabulary, tell),
        oil_path=_path(answer),
        priming=priming(surveyed, evidence, answer, cups, tell),
        gauge=gauge(answer, tell),
        afterwards_minutes=AFTERWARDS_MINUTES,
        afterwards=AFTERWARDS,
        cautions=list(CAUTIONS),
        sign=SIGN,
    )


def _path(answer: Answer) -> list[str]:
    """Passages on the way up, at any valve, in the oil's order."""
    return list(dict.fromkeys(rung.place for rung in answer.path))
