"""What a shop's layers put in place of earlier ones, as text."""

from collections.abc import Iterable, Iterator

from upfeed.knowledge.records import Override


def listing(overrides: Iterable[Override]) -> str:
    """A line each, and under it the values that differ."""
    return "".join(f"{line}\n" for override in overrides for line in _lines(override))


def _lines(override: Override) -> Iterator[str]:
    yield f"{override.what.replace('_', ' ')} {override.id}"
    yield f"  layer {override.now.layer}: {override.now}"
    yield f"  in place of layer {override.was.layer}: {override.was}"
    for change in override.changes:
        yield f"  {change.name}: {change.now or 'not given'}, was {change.was or 'not given'}"
