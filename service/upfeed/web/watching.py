"""Watches the folders that are answered from, and renews the library when anything in them is another."""

import asyncio
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager, suppress
from pathlib import Path

from litestar.concurrency import sync_to_thread
from watchfiles import awatch

from upfeed.web.current import Current, Source
from upfeed.web.settling import settle

Snapshot = frozenset[tuple[str, int, int, int]]
"""Path, time of change, size and number of every file: what tells that something is another without reading it."""

_LOOK_AGAIN = 10_000  # ms; file systems that tell nothing are looked at this often


def snapshot(folders: Sequence[Path]) -> Snapshot:
    """The state of all files below these folders; what is gone while it is looked at is left out."""
    found = set()
    for folder in folders:
        for path in folder.rglob("*"):
            with suppress(OSError):
                told = path.stat()
                found.add((str(path), told.st_mtime_ns, told.st_size, told.st_ino))
    return frozenset(found)


@asynccontextmanager
async def watching(
    current: Current, source: Source, seen: Snapshot, tell: Callable[[bool], None]
) -> AsyncIterator[None]:
    """Watch as long as the context lasts; `seen` is the state that the current library was read from.

    `tell` learns of every renewal, and whether it succeeded.
    """
    task = asyncio.create_task(_watch(current, source, seen, tell))
    try:
        yield
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task


async def _watch(current: Current, source: Source, seen: Snapshot, tell: Callable[[bool], None]) -> None:
    while True:
        now = await sync_to_thread(snapshot, source.folders)
        if now != seen:
            seen = now
            tell(await sync_to_thread(current.renew, source.open))
            settle()
        else:
            await _until_something_changes(source.folders)


async def _until_something_changes(folders: Sequence[Path]) -> None:
    """Or for some seconds. A folder that was replaced by another is found by being watched anew each time."""
    there = [folder for folder in folders if folder.is_dir()]
    async for _ in awatch(*there, rust_timeout=_LOOK_AGAIN, yield_on_timeout=True):
        return
