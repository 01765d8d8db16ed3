"""Rules about how sure a check is: asked last, of facts that only draws tell, and never counted in the verdict."""

from collections.abc import Mapping, Sequence

from upfeed.answering.answer import Finding, HowSure, MeasureFirst
from upfeed.answering.evidence import Evidence
from upfeed.answering.findings import findings, rulings
from upfeed.flow.facts import Value
from upfeed.flow.survey import Survey
from upfeed.judging.message import System
from upfeed.judging.rules import Rulebook
from upfeed.knowledge.vocabulary import Vocabulary


def told_by_draws(sure: HowSure, first: Sequence[MeasureFirst]) -> Mapping[str, Value]:
    """The facts of draws by name: how often the verdict holds, and on which roughly known values it turns."""
    deciding = [value for value in first if value.decides]
    return {
        "verdict_holds_in": sure.verdict_holds_in,
        "rough_values": float(len(deciding)),
        "rough_value": _named(deciding[0]) if deciding else None,
    }


def notes_of_draws(
    survey: Survey, told: Mapping[str, Value], rulebook: Rulebook, vocabulary: Vocabulary, system: System
) -> list[Finding]:
    """The findings of the rules that read what draws told."""
    later = survey.after_draws(told)
    fired = rulings(later, rulebook, of_draws=True).fired
    return findings(later, fired, Evidence(later, vocabulary, system), system)


def _named(value: MeasureFirst) -> str:
    words = value.name.replace(".", " ").replace("_", " ")
    return f"{words} ({value.shown}, {value.standing})"
