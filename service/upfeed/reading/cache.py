"""A folder of what was worked out before, kept under keys; whatever is not sound there is as good as absent."""

import hashlib
import os
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

VARIABLE = "UPFEED_CACHE"
"""Names another folder for the cache; set and empty, it turns the cache off."""

_MARK = b"upfeed cache 1\n"
_DIGEST = 32  # bytes


class Cache:
    """Keeps one payload a name, good for one key at a time.

    Processes may use a folder side by side: a payload appears whole or not at all.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def recall(self, name: str, key: bytes) -> memoryview | None:
        """The payload kept under a name for this very key, or None: absent, stale, damaged or another user's."""
        content = _own_content(self._folder / name)
        body = memoryview(content)[len(_MARK) + 2 * _DIGEST :]
        sound = content.startswith(_head(key)) and content[: len(_MARK) + 2 * _DIGEST] == _sealed(key, body)
        return body if sound else None

    def keep(self, name: str, key: bytes, payload: bytes) -> None:
        """Keep a payload under a name in place of what was there; a folder that can't be written keeps nothing."""
        with suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            _write_whole(self._folder / name, _sealed(key, payload), payload)


def users_cache(environment: Mapping[str, str] = os.environ) -> Cache | None:
    """The user's cache: where UPFEED_CACHE says, else in $XDG_CACHE_HOME, else in ~/.cache; None when off."""
    chosen = environment.get(VARIABLE)
    if chosen is not None:
        return Cache(Path(chosen)) if chosen else None
    home = environment.get("XDG_CACHE_HOME")
    if home and Path(home).is_absolute():  # the XDG Base Directory Specification ignores relative ones
        return Cache(Path(home) / "upfeed")
    try:
        return Cache(Path.home() / ".cache" / "upfeed")
    except RuntimeError:  # a user without a home
        return None


def _head(key: bytes) -> bytes:
    return _MARK + hashlib.blake2b(key, digest_size=_DIGEST).digest()


def _sealed(key: bytes, payload: bytes | memoryview) -> bytes:
    """What stands before a payload: whose it is, and what it must add up to."""
    return _head(key) + hashlib.blake2b(payload, digest_size=_DIGEST).digest()


def _own_content(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            mine = not hasattr(os, "getuid") or os.fstat(file.fileno()).st_uid == os.getuid()
            return file.read() if mine else b""
    except OSError:
        return b""


def _write_whole(path: Path, *pieces: bytes) -> None:
    """Write beside the file, then take its place. Raises OSError."""
    handle, beside = tempfile.mkstemp(prefix=f"{path.name}-", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            for piece in pieces:
                file.write(piece)
        Path(beside).replace(path)
    except BaseException:
        with suppress(OSError):
            Path(beside).unlink()
        raise
