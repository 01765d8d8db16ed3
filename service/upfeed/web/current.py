"""The library that is answered from, and what kept a newer one from taking its place."""

import logging
from collections.abc import Callable, Sequence
from pathlib import Path

from msgspec import Struct

from upfeed.answering.library import Library, library_in, open_library
from upfeed.knowledge.vocabulary import Vocabulary
from upfeed.reading.faults import DataFaults
from upfeed.reading.folders import data_folder

_LOG = logging.getLogger("upfeed.web")


class Source(Struct, frozen=True):
    """Where knowledge and rules are read from: a shop's own folders, over those that come with upfeed."""

    kb: tuple[Path, ...] = ()
    rules: tuple[Path, ...] = ()

    @property
    def folders(self) -> list[Path]:
        """Every folder whose content counts. The vocabulary belongs to the program and is read once."""
        return [data_folder("kb"), data_folder("rules"), *self.kb, *self.rules]

    def open(self, vocabulary: Vocabulary | None = None) -> Library:
        """Read everything, the vocabulary too where none is given. Raises DataFaults with everything that is wrong."""
        if vocabulary is None:
            return open_library(self.kb, self.rules)
        return library_in(vocabulary, self.kb, self.rules)


class Current:
    """Hands out one library at a time; each answer is from the one that it began with."""

    def __init__(self, library: Library) -> None:
        self.library, self.faults = library, list[str]()

    def renew(self, reopen: Callable[[Vocabulary], Library]) -> bool:
        """Build a library aside and swap it in whole; the old one stays, and the faults are told, where that fails."""
        try:
            found = reopen(self.library.vocabulary)
        except DataFaults as wrong:
            return self._refuse([str(fault) for fault in wrong.faults])
        except OSError as wrong:
            return self._refuse([str(wrong)])
        self.library, self.faults = found, []
        _LOG.info("answering from knowledge %s, rules %s", found.knowledge.digest, found.rulebook.digest)
        return True

    def _refuse(self, faults: Sequence[str]) -> bool:
        self.faults = list(faults)
        _LOG.error(
            "the knowledge or the rules have faults; answering from what was read before: %s",
            "; ".join(faults),
        )
        return False
