"""Computes answers aside from the requests: few at once, few waiting, each only once, and none for too long."""

import asyncio
import math
import threading
import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor

from upfeed.web.problem import Refusal

AT_ONCE = 1
"""Answers computed at once in a process: they hold one core each, and workers take the others."""

_WEIGHT = 0.2
"""Of the latest answer in the usual time of one."""


class Computing:
    """Threads that compute, and the answers under way by key.

    Asking twice for what is under way computes it once. A request is given up after `seconds`; what was begun for
    it goes on, so that asking again later finds it done. Beyond `waiting` answers that wait, more are refused.
    """

    def __init__(self, waiting: int, seconds: float) -> None:
        self._most, self._seconds = AT_ONCE + waiting, seconds
        self._pool: ThreadPoolExecutor | None = None
        self._under_way: dict[str, Future[bytes]] = {}
        self._lock = threading.Lock()
        self._usual = 1.0

    @property
    def is_full(self) -> bool:
        """Whether nothing more is taken in at present."""
        return len(self._under_way) >= self._most

    def until(self) -> float:
        """When a request that comes now is given up, by the monotonic clock."""
        return time.monotonic() + self._seconds

    async def result(self, key: str, work: Callable[[], bytes], by: float | None = None) -> bytes:
        """What the work of a key comes to, waited for until then; nothing is begun after that.

        Raises Refusal when too much waits or time is up, and what the work raises.
        """
        left = self._seconds if by is None else by - time.monotonic()
        if left <= 0:
            raise self._late()
        future = asyncio.wrap_future(self._begun(key, work))
        try:
            return await asyncio.wait_for(asyncio.shield(future), left)
        except TimeoutError as late:
            raise self._late() from late

    def _late(self) -> Refusal:
        detail = f"It was not computed within {self._seconds:g} seconds."
        return Refusal("not-in-time", detail, headers=self.later())

    def stop(self) -> None:
        """End the threads and begin nothing that waits; what is asked for after that gets threads of its own."""
        with self._lock:
            pool, self._pool = self._pool, None
        if pool:
            pool.shutdown(wait=False, cancel_futures=True)

    def _begun(self, key: str, work: Callable[[], bytes]) -> Future[bytes]:
        with self._lock:
            if key in self._under_way:
                return self._under_way[key]
            if self.is_full:
                detail = f"{len(self._under_way)} answers are being computed or wait for it."
                raise Refusal("too-many-requests", detail, headers=self.later())
            self._pool = self._pool or ThreadPoolExecutor(AT_ONCE, "upfeed-computing")
            future = self._under_way[key] = self._pool.submit(self._timed, work)
        future.add_done_callback(lambda _: self._ended(key))
        return future

    def _timed(self, work: Callable[[], bytes]) -> bytes:
        start = time.monotonic()
        try:
            return work()
        finally:
            self._usual += _WEIGHT * (time.monotonic() - start - self._usual)

    def _ended(self, key: str) -> None:
        with self._lock:
            del self._under_way[key]

    def later(self) -> dict[str, str]:
        """When what is under way will usually be done, as a header field."""
        return {"Retry-After": str(max(1, math.ceil(self._usual * len(self._under_way) / AT_ONCE)))}
