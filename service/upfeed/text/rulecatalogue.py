"""Every rule as a page of Markdown: what it looks for, why, when it fires, what it says, what it rests on."""

from collections.abc import Iterator

from upfeed.judging.condition import Condition, Group
from upfeed.judging.message import Message
from upfeed.judging.rules import Limit, Rule, Rulebook
from upfeed.reading.units import show
from upfeed.text.prose import words

_HEAD = """# Rules

What upfeed looks for. A *stop* keeps the engine from being run, a *caution* says that something is worse than designed,
a *note* that a difference does not matter. Names in braces stand for the values of the build in question.
"""


def rule_catalogue(rulebook: Rulebook) -> str:
    """Rules by area, in order of id."""
    areas = sorted({rule.area for rule in rulebook.rules.values()})
    return "\n".join((_HEAD, *(_area(area, rulebook) for area in areas)))


def _area(area: str, rulebook: Rulebook) -> str:
    rules = (rule for rule in rulebook.rules.values() if rule.area == area)
    return "\n".join((f"## {words(area).capitalize()}\n", *(_rule(rule) for rule in rules)))


def _rule(rule: Rule) -> str:
    return "".join(f"{line}\n" for line in _lines(rule))


def _lines(rule: Rule) -> Iterator[str]:
    yield f"### {words(rule.id).capitalize()}\n"
    yield f"*{rule.weighs}*, `{rule.id}`, asked along {' or '.join(' > '.join(map(words, w)) for w in rule.walks)}.\n"
    yield f"{rule.why}\n"
    yield f"Says: {_sentence(rule.says)}\n"
    yield "Fires when\n"
    yield from _when(rule.when)
    yield ""
    yield from (f"- where `{let.name}` is `{let.calculation.text}`" for let in rule.lets)
    yield from (_limit(limit) for limit in rule.limits.values())
    yield from (f"- what may help: {mend.do}" for mend in rule.mend)
    yield f"- known limits: {rule.known_limits}"
    if rule.explains:
        yield f"- root of: {', '.join(f'`{id_}`' for id_ in rule.explains)}"
    yield f"- sources: {', '.join(rule.sources)}"
    yield f"- shown by {len(rule.cases)} cases and {len(rule.builds)} builds"
    yield ""


def _when(condition: Condition, depth: int = 0) -> Iterator[str]:
    margin = "  " * depth
    if isinstance(condition, Group):
        yield f"{margin}- {condition.by} of"
        for part in condition.parts:
            yield from _when(part, depth + 1)
    else:
        yield f"{margin}- `{condition.text}`"


def _limit(limit: Limit) -> str:
    value = show(limit.value, limit.shown.quantity or "ratio", limit.shown.shown_in)
    return f"- `{limit.name}` is {value}: {limit.means} ({limit.source})"


def _sentence(message: Message) -> str:
    return "".join(piece if isinstance(piece, str) else f"{{{piece.name}}}" for piece in message.pieces)
