"""Bodies coded by gzip (RFC 1952): what goes out, and what comes in up to a limit."""

import zlib

_GZIP = 16 + zlib.MAX_WBITS
"""zlib reads and writes gzip's own head and tail."""

_LEVEL = 6


class Larger(ValueError):  # noqa: N818 - names what the content is
    """What comes out of a coding is larger than is read."""


def deflated(content: bytes) -> bytes:
    """The content coded by gzip, without time or name: the same bytes from the same content."""
    packing = zlib.compressobj(_LEVEL, zlib.DEFLATED, _GZIP)
    return packing.compress(content) + packing.flush()


def whole(coded: bytes) -> bytes:
    """The content that was coded here, however large."""
    return zlib.decompress(coded, _GZIP)


def inflated(coded: bytes, most: int) -> bytes:
    """The content of one gzip member; never more than one byte above `most` is unpacked.

    Raises Larger where it holds more than `most` bytes, ValueError where it is no whole member and nothing else.
    """
    unpacking = zlib.decompressobj(_GZIP)
    try:
        content = unpacking.decompress(coded, most + 1)
    except zlib.error as wrong:
        raise ValueError("no gzip") from wrong
    if len(content) > most:
        raise Larger(most)
    if not unpacking.eof or unpacking.unused_data:
        raise ValueError("no whole gzip member, or more than one")
    return content
