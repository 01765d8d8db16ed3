"""Two builds side by side, each checked beside its own family's reference."""

from upfeed.advising.comparing.checked import Checked, checked
from upfeed.advising.comparing.comparison import FORMAT, BuildComparison, ComparedBuild
from upfeed.advising.comparing.findingchange import sorted_out
from upfeed.advising.comparing.numbers import Numbers
from upfeed.advising.comparing.partchange import Differing
from upfeed.answering.answer import Answer
from upfeed.answering.library import Library
from upfeed.judging.message import System
from upfeed.knowledge.records import BuildSheet
from upfeed.knowledge.vocabulary import Vocabulary

OTHER_FAMILY = (
    "The builds are of two families: each is judged beside its own family's reference, so that a finding of one says"
    " nothing of the other, and ratios tell of two engines, not of a change in one."
)


def compare(
    first: BuildSheet, second: BuildSheet, library: Library, system: System = "shop", samples: int = 0
) -> BuildComparison:
    """What differs from a first build to a second, and what that does.

    Both are checked as `check` does, with as many draws each. Raises DataFaults for a build that can't be.
    """
    one, other = (checked(sheet, library, system, samples) for sheet in (first, second))
    return side_by_side(one, other, library.vocabulary, system)


def side_by_side(first: Checked, second: Checked, vocabulary: Vocabulary, system: System) -> BuildComparison:
    """Two builds whose answers are known already, made in the same system of units."""
    one, other, family = first.answer, second.answer, first.build.family
    same_family = family.id == second.build.family.id
    differing = Differing(first.build, second.build, vocabulary, system)
    found = sorted_out(one.findings, other.findings, family.plan if same_family else None)
    numbers = Numbers(first, second, vocabulary)
    return BuildComparison(
        format=FORMAT,
        same_family=same_family,
        first=_side(one),
        second=_side(other),
        slots=list(differing.slots()),
        settings=differing.settings(),
        points_held=differing.points(),
        gone=found.gone,
        new=found.new,
        kept=found.kept,
        points=numbers.points(),
        timing=numbers.timing(),
        preload=numbers.preload(),
        cautions=[
            *([] if same_family else [OTHER_FAMILY]),
            *dict.fromkeys((*one.cautions, *other.cautions)),
        ],
    )


def _side(answer: Answer) -> ComparedBuild:
    return ComparedBuild(
        name=answer.build.name,
        family=answer.build.family,
        verdict=answer.verdict,
        decided_by=answer.decided_by,
        digests=answer.digests,
        samples=answer.how_sure.samples,
        verdict_holds_in=answer.how_sure.verdict_holds_in,
        unknown=answer.unknown,
    )
