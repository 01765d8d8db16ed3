"""Answers that the contract shows: made by running the service, kept in a file that travels with this program."""

import math
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct

from upfeed.reading.folders import data_folder

_CLOSE = 1e-6
"""How far apart two numbers may be, over the larger, and be the same: numpy's builds differ in the last digits."""


class ExampleAnswer(Struct, frozen=True, forbid_unknown_fields=True):
    """An answer as the contract shows it: of which operation, with which status, and what was done to it."""

    operation: str
    status: int
    name: str
    summary: str
    description: str
    value: Any


def example_file() -> Path:
    """Where the answers lie. Raises FileNotFoundError when the installation is damaged."""
    return data_folder("shared") / "answers.json"


def read_examples(file: Path) -> list[ExampleAnswer]:
    """The answers that a file holds. Raises OSError or msgspec.DecodeError where it can't be read."""
    return msgspec.json.decode(file.read_bytes(), type=list[ExampleAnswer])


def written_examples(examples: Iterable[ExampleAnswer]) -> bytes:
    """A file of answers, one a line, so that a change shows which of them changed."""
    return b"[\n" + b",\n".join(map(msgspec.json.encode, examples)) + b"\n]\n"


def settled(kept: Sequence[ExampleAnswer], made: Sequence[ExampleAnswer]) -> list[ExampleAnswer]:
    """What was made now; what was kept goes before it where the two differ in last digits only."""
    before = {_key(example): example for example in kept}
    return [_either(before.get(_key(example)), example) for example in made]


def _key(example: ExampleAnswer) -> tuple[str, int, str]:
    return example.operation, example.status, example.name


def _either(kept: ExampleAnswer | None, made: ExampleAnswer) -> ExampleAnswer:
    return kept if kept and alike(msgspec.to_builtins(kept), msgspec.to_builtins(made)) else made


def alike(one: Any, other: Any) -> bool:
    """Whether two values of JSON are the same but for the last digits of their numbers."""
    if isinstance(one, dict) and isinstance(other, dict):
        return list(one) == list(other) and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=_CLOSE)
    return type(one) is type(other) and bool(one == other)
