"""Where the contract shows answers: each stands once among its components, and operations refer to it."""

from collections.abc import Iterator, Sequence

import msgspec

from upfeed.web.exampleanswers import ExampleAnswer
from upfeed.web.valueschema import Schema


class ExamplePlaces:
    """The components that answers become, and the references to those of an operation and a status."""

    def __init__(self, examples: Sequence[ExampleAnswer]) -> None:
        self.components: dict[str, Schema] = {}
        self._names: dict[bytes, str] = {}
        self._shown: dict[tuple[str, int], Schema] = {}
        for example in examples:
            place = self._shown.setdefault((example.operation, example.status), {})
            place[example.name] = {"$ref": f"#/components/examples/{self._component(example)}"}

    def at(self, operation: str, status: int) -> Schema:
        """What a media type says of its examples: nothing, where none are shown."""
        shown = self._shown.get((operation, status))
        return {"examples": shown} if shown else {}

    def _component(self, example: ExampleAnswer) -> str:
        """The name of the component that holds an example, or another just like it."""
        told = dict(_told(example))
        name = self._names.setdefault(msgspec.json.encode(told), f"{example.operation}-{example.name}")
        self.components[name] = told
        return name


def _told(example: ExampleAnswer) -> Iterator[tuple[str, object]]:
    yield "summary", example.summary
    if example.description:
        yield "description", example.description
    yield "value", example.value
