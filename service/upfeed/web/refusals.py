"""Turns whatever goes wrong in a request into a problem."""

import logging
from collections.abc import Callable
from typing import Any

from litestar import Request, Response
from litestar.exceptions import HTTPException

from upfeed.reading.faults import DataFaults
from upfeed.web.problem import Refusal, problem, unusable
from upfeed.web.problemtypes import PROBLEM_TYPES
from upfeed.web.replies import refused

_LOG = logging.getLogger("upfeed.web")
_KINDS = {404: "not-found", 405: "method-not-taken", 413: "too-large"}
_DETAILS = {
    404: "There is nothing at this address.",
    405: "This address does not take this method; the Allow field names those it takes.",
    413: "The body is larger than this service reads.",
}

_Asked = Request[Any, Any, Any]
Handler = Callable[[_Asked, Any], Response[Any]]


def _of_refusal(_: _Asked, error: Refusal) -> Response[bytes]:
    return refused(error.problem, error.headers)


def _of_faults(_: _Asked, error: DataFaults) -> Response[bytes]:
    """Every fault of a build that can be read but not checked."""
    return refused(unusable(error))


def _of_http(_: _Asked, error: HTTPException) -> Response[bytes]:
    status = error.status_code
    detail = _DETAILS.get(status, "The request can't be answered.")
    return refused(problem(_KINDS.get(status, "unreadable-request"), detail), error.headers)


def _of_crash(request: _Asked, error: Exception) -> Response[bytes]:
    _LOG.error("%s %s failed", request.method, request.url.path, exc_info=error)
    told = PROBLEM_TYPES["fault-of-the-service"]
    return refused(problem(told.id, told.means))


HANDLERS: dict[int | type[Exception], Handler] = {
    Refusal: _of_refusal,
    DataFaults: _of_faults,
    HTTPException: _of_http,
    Exception: _of_crash,
}
