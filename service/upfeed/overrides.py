"""What a later layer puts in place of an earlier one's: which, where both stand, and the values that differ."""

from collections.abc import Iterable, Iterator

from upfeed.records import Change, Override, Part
from upfeed.rules import Limit
from upfeed.units import show


def of_part(was: Part, now: Part) -> Override:
    """A part in place of another of the same id."""
    names = dict.fromkeys((*was.has, *now.has))
    return Override(now.kind, now.id, was.origin, now.origin, tuple(_changed(was, now, names)))


def of_limit(was: Limit, now: Limit, area: str) -> Override:
    """A limit in place of another of the same area and name."""
    change = Change("is", _shown(was), _shown(now))
    return Override("limit", f"{area}, {now.name}", was.origin, now.origin, (change,))


def listing(overrides: Iterable[Override]) -> str:
    """A line each, and under it the values that differ."""
    return "".join(f"{line}\n" for override in overrides for line in _lines(override))


def _lines(override: Override) -> Iterator[str]:
    yield f"{override.what.replace('_', ' ')} {override.id}"
    yield f"  layer {override.now.layer}: {override.now}"
    yield f"  in place of layer {override.was.layer}: {override.was}"
    for change in override.changes:
        yield f"  {change.name}: {change.now or 'not given'}, was {change.was or 'not given'}"


def _changed(was: Part, now: Part, names: Iterable[str]) -> Iterator[Change]:
    for name in names:
        before, after = was.has.get(name), now.has.get(name)
        if before is None or after is None or before.magnitude != after.magnitude:
            written = (value.written if value else None for value in (before, after))
            yield Change(name, *written)


def _shown(limit: Limit) -> str:
    return show(limit.value, limit.shown.quantity or "ratio", limit.shown.shown_in)
