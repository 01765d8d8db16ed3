"""Header fields as a server hands them over: every request passes here, so nothing is read that nobody asks for."""

from collections.abc import Mapping

from litestar.types import HTTPScope


def asked(scope: HTTPScope, name: bytes) -> list[str]:
    """The values of a request's field by its name in small letters, in the order they came."""
    return [value.decode("latin-1") for field, value in scope["headers"] if field == name]


def raw(fields: Mapping[str, str]) -> dict[bytes, bytes]:
    """The fields of a reply as they are sent, by name in small letters; this service sends none twice."""
    return {name.lower().encode("latin-1"): value.encode("latin-1") for name, value in fields.items()}
