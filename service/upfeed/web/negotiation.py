"""Which type and which coding an asker takes (RFC 9110, 12.5.1 and 12.5.3)."""

import re
from collections.abc import Iterator
from typing import Literal

Coding = Literal["gzip", "identity"]

_QUALITY = re.compile(r"(?:0(?:\.[0-9]{0,3})?|1(?:\.0{0,3})?)")
_NEAR, _NEARER, _NEAREST = 1, 2, 3


def accepts(field: str, media: str) -> bool:
    """Tell whether an Accept field takes a type of content; an empty one takes everything.

    The nearest of its ranges decides. What can't be read is left out.
    """
    if field in ("", "*/*", media):
        return True
    kind = media.partition("/")[0]
    nearness = {"*/*": _NEAR, f"{kind}/*": _NEARER, media: _NEAREST}
    found = [(nearness[name], quality) for name, quality in _ranked(field) if name in nearness]
    return max(found, default=(0, 0.0))[1] > 0


def coding(field: str) -> Coding | None:
    """The coding in which an Accept-Encoding field wants an answer; None where it takes none that there is."""
    if not field:
        return "identity"
    quality = dict(_ranked(field))
    any_other = quality.get("*")
    identity = quality.get("identity", 1.0 if any_other is None else any_other)
    gzip = quality.get("gzip", any_other or 0.0)
    # Where identity is not named it is taken, but anything that is named goes before it.
    if gzip > 0 and (gzip >= identity or "identity" not in quality):
        return "gzip"
    return "identity" if identity > 0 else None


def _ranked(field: str) -> Iterator[tuple[str, float]]:
    for item in field.lower().split(","):
        name, *parameters = (piece.strip() for piece in item.split(";"))
        weights = [piece[2:] for piece in parameters if piece.startswith("q=")]
        if name and all(map(_QUALITY.fullmatch, weights)):
            yield name, float(weights[-1]) if weights else 1.0
