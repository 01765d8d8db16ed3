"""Answers that take computing: kept by what was asked of what, else computed."""

from collections.abc import Callable
from functools import partial

from litestar.concurrency import sync_to_thread

from upfeed.web.computing import Computing
from upfeed.web.gzipped import deflated, whole
from upfeed.web.kept import Kept
from upfeed.web.negotiation import Coding

Work = Callable[[], bytes]

_LARGE = 1024 * 1024
"""Bytes beyond which an answer is kept in gzip only, a tenth of its size, lest it drive out all others."""


class Answers:
    """Answers by key, and small things that were found out about requests.

    A key is the digest of the program, the knowledge, the rules and the canonical request, so that answers from other
    knowledge are never found under it. An answer is kept in the coding in which it was asked for; the other is made of
    it once somebody asks for that.
    """

    def __init__(self, most_bytes: int, computing: Computing) -> None:
        self._kept, self._computing = Kept(most_bytes), computing

    @property
    def is_full(self) -> bool:
        """Whether nothing more is computed at present."""
        return self._computing.is_full

    def until(self) -> float:
        """When a request that comes now is given up, by the monotonic clock."""
        return self._computing.until()

    def later(self) -> dict[str, str]:
        """When to ask again, as a header field."""
        return self._computing.later()

    def remembered(self, name: str) -> bytes | None:
        """What was found out under a name."""
        return self._kept.get(name)

    def remember(self, name: str, found: bytes) -> None:
        """Keep what was found out, so that it is not found out again."""
        self._kept.put(name, found)

    async def kept(self, key: str, coding: Coding) -> bytes | None:
        """An answer that is there without computing, in this coding."""
        found = self._kept.get(f"{key} {coding}")
        return found if found is not None else await self._recoded(key, coding)

    async def of(self, key: str, coding: Coding, work: Work, by: float | None = None) -> bytes:
        """The answer of a key, in a coding, computed until a time of the monotonic clock.

        Raises what the work raises, and Refusal where it can't be done now or by then.
        """
        plain = await self._computing.result(key, partial(self._computed, key, coding, work), by)
        if coding == "identity":
            return plain
        coded = self._kept.get(f"{key} {coding}")
        return coded if coded is not None else await sync_to_thread(deflated, plain)

    def keep(self, key: str, packed: bytes) -> None:
        """Keep an answer, in gzip."""
        self._kept.put(f"{key} gzip", packed)

    def _computed(self, key: str, coding: Coding, work: Work) -> bytes:
        plain = work()
        if coding == "gzip" or len(plain) > _LARGE:
            self.keep(key, deflated(plain))
        else:
            self._kept.put(f"{key} identity", plain)
        return plain

    async def _recoded(self, key: str, coding: Coding) -> bytes | None:
        """An answer that is kept in the other coding only."""
        other: Coding = "identity" if coding == "gzip" else "gzip"
        found = self._kept.get(f"{key} {other}")
        if found is None:
            return None
        content = await sync_to_thread(deflated if coding == "gzip" else whole, found)
        if len(content) <= _LARGE or coding == "gzip":
            self._kept.put(f"{key} {coding}", content)
        return content
