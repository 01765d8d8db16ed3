"""Which pages of other origins a browser lets read the answers (Fetch standard, CORS protocol)."""

import re
from collections.abc import Iterable

_ORIGIN = re.compile(r"https?://(?:[a-z0-9-]+(?:\.[a-z0-9-]+)*|\[[0-9a-f:.]+\])(?::[1-9][0-9]{0,4})?")


def checked_origins(origins: Iterable[str]) -> frozenset[str]:
    """The origins as a browser writes them. Raises ValueError for the first that is none."""
    found = frozenset(origins)
    for origin in sorted(found):
        if not _ORIGIN.fullmatch(origin):
            raise ValueError(
                f'found the origin "{origin}"; expected scheme and host in small letters, with a port'
                " where it is not the usual one, as https://shop.example or http://localhost:8080"
            )
    return found


def granted(origin: str, origins: frozenset[str]) -> dict[str, str]:
    """Header fields for a page of this origin; none for an origin that is not on the list."""
    if origin not in origins:
        return {}
    return {"Access-Control-Allow-Origin": origin, "Access-Control-Expose-Headers": "ETag, Link, Retry-After"}


def preflight(allowed_methods: str) -> dict[str, str]:
    """Header fields that tell a browser beforehand what may be sent."""
    return {
        "Access-Control-Allow-Methods": allowed_methods,
        "Access-Control-Allow-Headers": "Content-Encoding, Content-Type, If-None-Match",
        "Access-Control-Max-Age": "600",
    }
