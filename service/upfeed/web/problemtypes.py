"""The kinds of problem that this service tells of; each has an address on this service (RFC 9457, 3.1.1)."""

from msgspec import Struct

ADDRESS = "/v1/problems"
"""Where problem types are told; a problem's `type` is one of the addresses below it."""


class ProblemType(Struct, frozen=True, forbid_unknown_fields=True):
    """A kind of problem: its id, the last step of its address, what it means and what to do about it."""

    id: str
    title: str
    status: int
    means: str
    advice: str


class ProblemTypes(Struct, frozen=True, forbid_unknown_fields=True):
    """Every kind of problem in order of status."""

    problems: list[ProblemType]


_TYPES = (
    ProblemType(
        "unreadable-query",
        "The query can't be used",
        400,
        "A parameter is unknown, given twice or malformed, or the query is no percent-encoded UTF-8.",
        "Mend every parameter that `errors` names; the contract lists what an operation takes.",
    ),
    ProblemType(
        "stale-cursor",
        "The list has changed since",
        400,
        "The cursor goes with another state of the knowledge, in which the list may have been another.",
        "Begin the list anew, without a cursor.",
    ),
    ProblemType(
        "unreadable-body",
        "The body can't be read",
        400,
        "The body is no JSON in UTF-8, is nested too deep, or is not coded as its content coding says.",
        "Send one JSON value; nothing of it was looked at.",
    ),
    ProblemType(
        "unreadable-request",
        "The request can't be read",
        400,
        "The request names no host, or several.",
        "Send one Host field with a host and, where it is not the usual one, a port.",
    ),
    ProblemType(
        "not-found",
        "There is nothing there",
        404,
        "Nothing has this address, or nothing has the id that was asked for.",
        "Ids are told by the lists of parts, families and rules; `errors` may name what comes near.",
    ),
    ProblemType(
        "method-not-taken",
        "The address does not take this method",
        405,
        "There is something at this address, but it is asked for otherwise.",
        "Use one of the methods that the Allow field names.",
    ),
    ProblemType(
        "not-acceptable",
        "Nothing of what is accepted can be sent",
        406,
        "The Accept field leaves out the type that is sent, or Accept-Encoding leaves out gzip and identity.",
        "Leave the field out, or accept the type and the coding that `errors` name.",
    ),
    ProblemType(
        "too-large",
        "The body is too large",
        413,
        "The body, or what comes out of its coding, is larger than this service reads.",
        "Send less at once; the contract tells how much is read.",
    ),
    ProblemType(
        "wrong-content",
        "The body is of the wrong type",
        415,
        "The body is not said to be JSON in UTF-8, or its coding is none that is read.",
        "Send application/json, as it is or coded by gzip.",
    ),
    ProblemType(
        "wrong-host",
        "This service does not answer for that host",
        421,
        "The request was sent to a host that this service was not told to answer for.",
        "Ask under the name the service was given; who runs it adds names with --allowed-host.",
    ),
    ProblemType(
        "unusable-build",
        "The build can't be checked",
        422,
        "The build can be read, but it is none: a value, a part or a key in it is wrong.",
        "Mend what `errors` names; all faults are told at once.",
    ),
    ProblemType(
        "two-kinds",
        "The parts are of two kinds",
        422,
        "Only parts of one kind can be set side by side.",
        "Ask for two lifters, say, or two pushrods.",
    ),
    ProblemType(
        "too-much-work",
        "That is too much to compute at once",
        422,
        "The builds that are asked for, with their draws and corner cases, come to more than is solved for one answer.",
        "Ask for less, as `errors` tell (fewer draws, one family), or on the command line, which has no such limit.",
    ),
    ProblemType(
        "too-many-requests",
        "Too much is waiting to be computed",
        429,
        "As many answers as may wait are being computed or wait for it.",
        "Ask again after the seconds that the Retry-After field tells.",
    ),
    ProblemType(
        "fault-of-the-service",
        "The service failed",
        500,
        "This is a fault of the service, not of the request; its log tells more.",
        "Tell whoever runs the service when it happened.",
    ),
    ProblemType(
        "not-in-time",
        "The answer was not computed in time",
        503,
        "Waiting and computing took longer than a request may last; of several builds, this one was not reached.",
        "Ask again after the seconds that the Retry-After field tells; what was computed is kept and is there at once.",
    ),
    ProblemType(
        "not-ready",
        "The service is not ready",
        503,
        "As many answers wait to be computed as may.",
        "Ask another process, or this one after the seconds that the Retry-After field tells.",
    ),
)
PROBLEM_TYPES = {type_.id: type_ for type_ in _TYPES}
"""Every kind of problem by its id, in order of status."""
