"""Finds by id, and says what comes near where nothing is found."""

from collections.abc import Mapping
from typing import TypeVar

from upfeed.reading.faults import quoted
from upfeed.reading.nearest import did_you_mean
from upfeed.web.problem import Refusal, Whereabouts, flaw

_Record = TypeVar("_Record")


def find(
    known: Mapping[str, _Record], word: str, what: str, name: str, where: Whereabouts = "path"
) -> _Record:
    """What goes by a word; `name` is the parameter that held it. Raises Refusal (404) where nothing does."""
    if word in known:
        return known[word]
    wrong = flaw(where, f"/{name}", quoted(word), f"a known {what}", did_you_mean(word, known))
    raise Refusal("not-found", f"There is no such {what}.", [wrong])
