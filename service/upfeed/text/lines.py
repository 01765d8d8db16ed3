"""One line a finding, for whatever reads lines: `build: weight: finding: sentence`."""

from collections.abc import Iterator

from upfeed.advising.comparing.since import Held, Reckoned
from upfeed.answering.answer import Answer
from upfeed.reading.faults import visible
from upfeed.text.prose import listed, words


def lines(build: str, answer: Answer, reckoned: Reckoned) -> Iterator[str]:
    """A line for each finding, and for each rule for want of which nothing can be told yet.

    In place of the weight stands `accepted` or `known` for a finding that does not count, since somebody takes it on
    or since it was there before, and `unknown` for a rule that can't be told.
    """
    for held in reckoned.findings:
        finding = held.finding
        yield visible(f"{build}: {_weight(held)}: {finding.id}: {finding.says}")
    for id_ in reckoned.untold:
        yield visible(f"{build}: unknown: {id_}: {waits_for(id_, answer)}")


def waits_for(id_: str, answer: Answer) -> str:
    """What has to be known before a rule can be told."""
    rule = id_.partition("@")[0]
    names = dict.fromkeys(words(unknown.name) for unknown in answer.unknown if rule in unknown.blocks)
    if names:
        return f"can't tell yet; it waits for {listed(names)}."
    return "can't tell yet; what is known allows both answers."


def counted(build: str, reckoned: Reckoned) -> Iterator[str]:
    """A line for each thing that counts since an earlier answer, and why."""
    for held in reckoned.findings:
        if held.counts:
            yield visible(f"{build}: {held.since}: {held.finding.id}{_grown(held)}")
    for id_ in reckoned.untold:
        yield visible(f"{build}: unknown: {id_}")


def _weight(held: Held) -> str:
    return held.since if held.since in ("accepted", "known") else held.finding.weighs


def _grown(held: Held) -> str:
    was, now = held.was, held.finding
    if held.since != "worse" or was is None:
        return ""
    told = [f"a {was.weighs}, now a {now.weighs}"] if was.weighs != now.weighs else []
    if was.figure and now.figure:
        told.append(f"was {was.figure.shown}, now {now.figure.shown}")
    return f" ({'; '.join(told)})" if told else ""
