"""Problems as they go out (RFC 9457): what was refused, with every fault and where it stands."""

from collections.abc import Iterable, Mapping
from typing import Literal

from msgspec import Struct

from upfeed.reading.faults import DataFaults, Fault
from upfeed.web.problemtypes import ADDRESS, PROBLEM_TYPES

PROBLEM_JSON = "application/problem+json"

Whereabouts = Literal["body", "query", "path", "header"]


class Flaw(Struct, frozen=True, forbid_unknown_fields=True, rename={"where": "in"}):
    """One fault of a request: a JSON pointer into its body (or into its query, path or header fields by name)."""

    where: Whereabouts
    pointer: str
    found: str
    expected: str
    advice: str | None


class Problem(Struct, frozen=True, forbid_unknown_fields=True):
    """Why a request was refused, with all its faults at once (RFC 9457); `type` is an address on this service."""

    type: str
    title: str
    status: int
    detail: str
    errors: list[Flaw]


class Refusal(Exception):  # noqa: N818 - a refusal is an answer, not a failure
    """A request that is refused, with everything that is wrong with it."""

    def __init__(
        self, kind: str, detail: str, flaws: Iterable[Flaw] = (), headers: Mapping[str, str] | None = None
    ) -> None:
        super().__init__(detail)
        self.problem = problem(kind, detail, flaws)
        self.headers = dict(headers or {})


def problem(kind: str, detail: str, flaws: Iterable[Flaw] = ()) -> Problem:
    """A problem of a kind, by the kind's id."""
    told = PROBLEM_TYPES[kind]
    return Problem(f"{ADDRESS}/{kind}", told.title, told.status, detail, list(flaws))


def unusable(wrong: DataFaults) -> Problem:
    """The problem of a build that can be read but not checked, with every fault of it."""
    return problem("unusable-build", "The build can't be checked as it is.", map(body_flaw, wrong.faults))


def flaw(where: Whereabouts, pointer: str, found: str, expected: str, advice: str = "") -> Flaw:
    """One fault of a request."""
    return Flaw(where, pointer, found, expected, advice or None)


def body_flaw(fault: Fault) -> Flaw:
    """A fault of the data as one of the body; one without a place in the body is about the whole of it."""
    found = fault.found if fault.origin.pointer or not fault.path else f"{fault.path}: {fault.found}"
    return flaw("body", fault.origin.pointer, found, fault.expected, fault.advice)
