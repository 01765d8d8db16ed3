"""What an operation takes and gives: read by the routes and written into the contract."""

from collections.abc import Callable
from typing import Any

from msgspec import Struct

from upfeed.reading.reader import LONGEST_IDENT
from upfeed.web.valueschema import whole

LONGEST_TEXT = 80
"""Characters of a parameter that is text."""

IDENT = "[A-Za-z0-9]+(?:-[A-Za-z0-9]+)*"
"""An id, as the reader of files has it."""


class Parameter(Struct, frozen=True):
    """A query parameter: the text it may be (all of it matched), and its JSON Schema."""

    name: str
    description: str
    expected: str
    pattern: str
    schema: dict[str, Any]

    @property
    def default(self) -> str | None:
        """What holds where it is left out, as it would be written; None where nothing does."""
        return str(self.schema["default"]) if "default" in self.schema else None


class Open(Struct, frozen=True):
    """Parameters whose names are open: what each is called (all of it matched), and all of them as one object."""

    name: str
    description: str
    expected: str
    pattern: str
    schema: dict[str, Any]


class Lead(Struct, frozen=True):
    """Where an answer leads: the operation that takes an id of it, and where in the body the id stands."""

    operation: str
    parameter: str
    pointer: str


class Body(Struct, frozen=True):
    """What a body holds: the component it follows, what that is, and bodies by a name that says what they are."""

    schema: str
    told: str
    examples: Callable[[], dict[str, Any]]


class Operation(Struct, frozen=True):
    """One operation, as its route declares it.

    What it answers with (None: bytes of their own), its query parameters, its refusals, whether its answer has
    an entity tag, what body it takes, where its answer leads, and the type it is sent as. Every operation may
    refuse the query, what is accepted and the host, or fail: these need not be said. An answer `in_part` may lack
    some of what was asked for; then it has no tag and tells when to ask again.
    """

    answers: type[Struct] | None
    query: tuple[Parameter, ...] = ()
    refuses: tuple[int, ...] = ()
    tagged: bool = True
    takes: Body | None = None
    open: Open | None = None
    leads_to: Lead | None = None
    media: str = "application/json"
    in_part: bool = False


def ident(name: str, description: str) -> Parameter:
    """A parameter that holds an id."""
    return Parameter(name, description, "an id of letters, digits and single hyphens", IDENT, ident_schema())


def ident_schema() -> dict[str, Any]:
    """The JSON Schema of an id."""
    return {"type": "string", "pattern": whole(IDENT), "maxLength": LONGEST_IDENT}


def word(name: str, description: str) -> Parameter:
    """A parameter that holds a word of the vocabulary."""
    pattern = "[a-z][a-z0-9_]*"
    schema = {"type": "string", "pattern": whole(pattern)}
    return Parameter(name, description, "a word such as oil_pump", pattern, schema)


def choice(name: str, description: str, words: tuple[str, ...]) -> Parameter:
    """A parameter that is one of a few words, the first of which holds where it is left out."""
    schema = {"type": "string", "enum": list(words), "default": words[0]}
    return Parameter(name, description, " or ".join(words), "|".join(words), schema)


def whole_number(name: str, description: str, most: int, default: int) -> Parameter:
    """A parameter that is a whole number from 0 on."""
    schema = {"type": "integer", "minimum": 0, "maximum": most, "default": default}
    return Parameter(name, description, f"a whole number from 0 to {most}", _up_to(most), schema)


def number_from_one(name: str, description: str, most: int, default: int) -> Parameter:
    """A parameter that is a whole number from 1 on."""
    schema = {"type": "integer", "minimum": 1, "maximum": most, "default": default}
    return Parameter(name, description, f"a whole number from 1 to {most}", _up_to(most, 1), schema)


def text(name: str, description: str, example: str) -> Parameter:
    """A parameter that is a size as a shop writes it."""
    pattern = r"[^\x00-\x1f\x7f]+"
    schema = {"type": "string", "pattern": whole(r"[^\u0000-\u001f\u007f]+"), "maxLength": LONGEST_TEXT}
    told = f"a size such as {example}, at most {LONGEST_TEXT} characters"
    return Parameter(name, description, told, pattern, {**schema, "examples": [example]})


def _up_to(most: int, least: int = 0) -> str:
    """The numbers from `least` to `most` as decimal text without noughts ahead, each spelt out: they are few."""
    return "|".join(map(str, range(least, most + 1)))
