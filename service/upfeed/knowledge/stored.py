"""Knowledge as bytes for a cache; parts stay undecoded until somebody asks for them."""

from collections.abc import Iterator, Mapping

import msgspec
from msgspec import Raw, Struct

from upfeed.knowledge.records import Family, Knowledge, Override, Part, SourceNote
from upfeed.reading.faults import Fault


class Loaded(Struct, frozen=True):
    """The knowledge, values that are possible but unusual, and what later layers replaced."""

    knowledge: Knowledge
    warnings: tuple[Fault, ...]
    overrides: tuple[Override, ...]


class _Stored(Struct, frozen=True, array_like=True):
    parts: dict[str, Raw]
    families: dict[str, Family]
    sources: dict[str, SourceNote]
    digest: str
    warnings: tuple[Fault, ...]
    overrides: tuple[Override, ...]


class StoredParts(Mapping[str, Part]):
    """Parts by id, each decoded when it is first asked for."""

    def __init__(self, stored: dict[str, Raw]) -> None:
        self._stored = stored
        self._decoded: dict[str, Part] = {}

    def __getitem__(self, id_: str) -> Part:
        part = self._decoded.get(id_)
        if part is None:
            part = self._decoded[id_] = _PART.decode(self._stored[id_])
        return part

    def __iter__(self) -> Iterator[str]:
        return iter(self._stored)

    def __len__(self) -> int:
        return len(self._stored)

    def __contains__(self, id_: object) -> bool:
        return id_ in self._stored


_PART = msgspec.msgpack.Decoder(Part)
_STORED = msgspec.msgpack.Decoder(_Stored)
_ENCODER = msgspec.msgpack.Encoder()


def encode(loaded: Loaded) -> bytes:
    """What was loaded, as MessagePack."""
    known = loaded.knowledge
    parts = {id_: Raw(_ENCODER.encode(part)) for id_, part in known.parts.items()}
    noted = (loaded.warnings, loaded.overrides)
    return _ENCODER.encode(_Stored(parts, known.families, known.sources, known.digest, *noted))


def decode(payload: bytes | memoryview) -> Loaded:
    """What was encoded. Raises msgspec.DecodeError (or its ValidationError) for anything else."""
    stored = _STORED.decode(payload)
    parts = StoredParts(stored.parts)
    known = Knowledge(parts, stored.families, stored.sources, stored.digest)
    return Loaded(known, stored.warnings, stored.overrides)
