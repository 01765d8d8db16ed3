"""Answers that take computing: kept by what was asked of what, else computed."""

from collections.abc import Callable
from functools import partial

from litestar.concurrency import sync_to_thread

from upfeed.web.computing import Computing
from upfeed.web.gzipped import deflated
from upfeed.web.kept import Kept
from upfeed.web.negotiation import Coding

Work = Callable[[], bytes]


class Answers:
    """Answers by key, with the key that each request was found to have.

    A key is the digest of the program, the knowledge, the rules and the canonical request, so that answers from other
    knowledge are never found under it.
    """

    def __init__(self, most_bytes: int, computing: Computing) -> None:
        self._kept, self._computing = Kept(most_bytes), computing

    @property
    def is_full(self) -> bool:
        """Whether nothing more is computed at present."""
        return self._computing.is_full

    def later(self) -> dict[str, str]:
        """When to ask again, as a header field."""
        return self._computing.later()

    def key_of(self, sent: str) -> str | None:
        """The key that a request, by the digest of its bytes, was found to have."""
        found = self._kept.get(sent)
        return found.decode() if found else None

    def remember(self, sent: str, key: str) -> None:
        """Keep the key of a request, so that it is not read again."""
        self._kept.put(sent, key.encode())

    def kept(self, key: str, coding: Coding) -> bytes | None:
        """An answer that is there without computing, in this coding."""
        return self._kept.get(f"{key} {coding}")

    async def of(self, key: str, coding: Coding, work: Work) -> bytes:
        """The answer of a key, in a coding. Raises what the work raises, and Refusal where it can't be done now."""
        plain = self.kept(key, "identity")
        if plain is None:
            plain = await self._computing.result(key, partial(self._computed, key, work))
        if coding == "identity":
            return plain
        coded = await sync_to_thread(deflated, plain)
        self._kept.put(f"{key} {coding}", coded)
        return coded

    def _computed(self, key: str, work: Work) -> bytes:
        plain = work()
        self._kept.put(f"{key} identity", plain)
        return plain
