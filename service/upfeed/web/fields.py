"""Header fields as a server hands them over: every request passes here, so nothing is read that nobody asks for."""

from collections.abc import Mapping

from litestar.types import HTTPScope


def asked(scope: HTTPScope, name: str) -> list[str]:
    """The values of a request's field by its name in small letters, in the order they came."""
    wanted = name.encode()
    return [value.decode("latin-1") for field, value in scope["headers"] if field == wanted]


def raw(fields: Mapping[str, str]) -> list[tuple[bytes, bytes]]:
    """The fields of a reply as they are sent."""
    return [(name.lower().encode("latin-1"), value.encode("latin-1")) for name, value in fields.items()]


def by_name(fields: list[tuple[bytes, bytes]]) -> dict[str, str]:
    """The fields of a reply by name in small letters; this service sends none twice."""
    return {name.decode("latin-1"): value.decode("latin-1") for name, value in fields}
