"""What a later layer puts in place of an earlier one's: which, where both stand, and the values that differ."""

from collections.abc import Iterable, Iterator

from upfeed.knowledge.records import Change, Override, Part


def of_part(was: Part, now: Part) -> Override:
    """A part in place of another of the same id."""
    names = dict.fromkeys((*was.has, *now.has))
    return Override(now.kind, now.id, was.origin, now.origin, tuple(_changed(was, now, names)))


def _changed(was: Part, now: Part, names: Iterable[str]) -> Iterator[Change]:
    for name in names:
        before, after = was.has.get(name), now.has.get(name)
        if before is None or after is None or before.magnitude != after.magnitude:
            written = (value.written if value else None for value in (before, after))
            yield Change(name, *written)
