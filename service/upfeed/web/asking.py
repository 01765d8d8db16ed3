"""One request as the routes see it: its query read strictly before anything else, and its answer tagged."""

import re
from typing import Any, TypeAlias

from litestar import Request, Response
from litestar.datastructures import State
from litestar.di import NamedDependency
from litestar.exceptions import NotFoundException
from litestar.params import SkipValidation
from msgspec import Struct

from upfeed.answering.library import Library
from upfeed.web.operation import Operation
from upfeed.web.query import canonical, read_query
from upfeed.web.replies import entity_tag, pretty, reply

Asked: TypeAlias = Request[Any, Any, State]
Known: TypeAlias = NamedDependency[SkipValidation[Library]]

_DOUBLED = re.compile(rb"//|.+/$", re.DOTALL)
"""What routing would let by: slashes in a row, and one at the end."""


async def strictly(request: Asked) -> None:
    """Refuse a query that the operation does not take, and a second address for the same thing."""
    if _DOUBLED.search(request.scope.get("raw_path", b"")):
        raise NotFoundException
    operation = request.route_handler.opt.get("operation")
    if isinstance(operation, Operation):
        request.state.query = read_query(request.scope["query_string"], operation.query)


def query_of(request: Asked) -> dict[str, str]:
    """The query's parameters by name."""
    return dict(request.state.query)


def answer(
    request: Asked, library: Library, content: Struct | bytes, said: str = "", link: str | None = None
) -> Response[bytes]:
    """An answer with its tag; `said` is the body of the request in canonical form, `link` the next page."""
    asked = (request.method, request.scope["path"], canonical(query_of(request)), said)
    body = content if isinstance(content, bytes) else pretty(content)
    headers = {"Link": f'<{link}>; rel="next"'} if link else {}
    return reply(body, entity_tag(library, *asked), headers)
