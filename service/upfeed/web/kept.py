"""Bodies kept in memory, bounded in bytes."""

import threading
from collections import OrderedDict

_BESIDE = 256
"""Bytes that an entry takes beside its key and its content: two objects' heads and its place in the table."""


class Kept:
    """Bytes by key, never more than `most` in all; what was not asked for longest goes first.

    A key has to say everything that its content follows from: nothing here ever grows stale.
    """

    def __init__(self, most: int) -> None:
        self._most, self._size = most, 0
        self._entries: OrderedDict[str, bytes] = OrderedDict()
        self._lock = threading.Lock()

    @property
    def size(self) -> int:
        """Bytes that are taken."""
        return self._size

    def get(self, key: str) -> bytes | None:
        """What is kept under a key."""
        with self._lock:
            content = self._entries.get(key)
            if content is not None:
                self._entries.move_to_end(key)
            return content

    def put(self, key: str, content: bytes) -> None:
        """Keep something, unless it alone is more than there is room for."""
        cost = _cost(key, content)
        if cost > self._most:
            return
        with self._lock:
            if key in self._entries:
                self._size -= _cost(key, self._entries.pop(key))
            self._entries[key] = content
            self._size += cost
            while self._size > self._most:
                self._size -= _cost(*self._entries.popitem(last=False))


def _cost(key: str, content: bytes) -> int:
    return len(key) + len(content) + _BESIDE
