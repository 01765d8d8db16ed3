"""One change of the contract, and whether a client that was written before breaks on it."""

from typing import Literal

from msgspec import Struct

Direction = Literal["sent", "told"]
"""Which way what changes goes: from clients to the service, or back."""


class Change(Struct, frozen=True):
    """One change: where, and what in words; one that does not break is an addition."""

    place: str
    says: str
    breaks: bool

    def __str__(self) -> str:
        return f"{self.place}: {self.says}"


def breaking(place: str, says: str) -> Change:
    """A change on which a client breaks."""
    return Change(place, says, breaks=True)


def addition(place: str, says: str) -> Change:
    """A change that no client notices unless it wants to."""
    return Change(place, says, breaks=False)
