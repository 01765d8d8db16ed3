"""What all findings come to: stop, cannot tell yet, go with care, or go; and which of them decide."""

from collections.abc import Iterable, Sequence
from typing import Literal

from msgspec import Struct

from upfeed.judging.rules import Weight

Verdict = Literal["stop", "cannot_tell_yet", "go_with_care", "go"]
"""Worst first."""


class Raised(Struct, frozen=True):
    """A finding as far as the verdict needs it; `explains` are the rules whose findings it is the root of."""

    id: str
    rule: str
    weighs: Weight
    explains: tuple[str, ...] = ()
    accepted: bool = False


class Untold(Struct, frozen=True):
    """A rule that cannot tell at a place, and what its finding would weigh."""

    id: str
    weighs: Weight


class Decision(Struct, frozen=True):
    """The verdict and the ids of what decides it, roots before their consequences."""

    verdict: Verdict
    decided_by: tuple[str, ...]


def decide(findings: Sequence[Raised], unknown: Iterable[Untold]) -> Decision:
    """The verdict of findings and of what cannot be told.

    An accepted finding does not count. An unknown that could only add a note does not block.
    """
    standing = [finding for finding in findings if not finding.accepted]
    stops = [finding for finding in standing if finding.weighs == "stop"]
    if stops:
        return Decision("stop", _with_roots(stops, standing))
    blocking = tuple(untold.id for untold in unknown if untold.weighs != "note")
    if blocking:
        return Decision("cannot_tell_yet", blocking)
    cautions = [finding for finding in standing if finding.weighs == "caution"]
    if cautions:
        return Decision("go_with_care", _with_roots(cautions, standing))
    return Decision("go", ())


def consequences(root: Raised, findings: Iterable[Raised]) -> tuple[str, ...]:
    """The ids of the findings that a finding explains."""
    return tuple(f.id for f in findings if f.rule in root.explains and f.id != root.id)


def _with_roots(deciding: Sequence[Raised], standing: Sequence[Raised]) -> tuple[str, ...]:
    """The deciding findings and whatever explains them, each after its own roots, else in the order given."""
    named: dict[str, None] = {}
    for finding in deciding:
        _name(finding, standing, named, ())
    roots = [f.id for f in standing if f.id in named and not _explained(f, standing)]
    return tuple(dict.fromkeys([*roots, *named]))


def _name(
    finding: Raised, standing: Sequence[Raised], named: dict[str, None], below: tuple[str, ...]
) -> None:
    if finding.id in named or finding.id in below:
        return
    for root in standing:
        if finding.rule in root.explains:
            _name(root, standing, named, (*below, finding.id))
    named[finding.id] = None


def _explained(finding: Raised, standing: Iterable[Raised]) -> bool:
    return any(finding.rule in other.explains and other.id != finding.id for other in standing)
