"""Priming with the engine parked, as somebody with a bar on the crank reads it."""

from collections.abc import Iterator

from upfeed.answering.answer import Answer, PrimingStop
from upfeed.text.prose import wrapped


def priming(answer: Answer) -> Iterator[str]:
    """Stop by stop where the crank goes and which rockers to look at."""
    if not answer.priming:
        return
    yield from wrapped("Priming with the engine parked, pump turned from outside until oil shows")
    for i, stop in enumerate(answer.priming):
        yield from wrapped(f"{_where(stop, first=not i)}: {stop.at}", "  ", "    ")
    yield ""


def _where(stop: PrimingStop, *, first: bool) -> str:
    if first:
        return f"crank {stop.crank_deg:g} deg past cylinder 1 firing"
    return f"{stop.turn_deg:g} deg on, at {stop.crank_deg:g} deg"
