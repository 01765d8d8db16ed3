"""The application: routes, their library, one shape of error, one envelope."""

from collections.abc import Iterable

from litestar import Litestar
from litestar.di import Provide
from litestar.types import ASGIApp

from upfeed.answering.library import Library
from upfeed.web import catalogue, checks, service
from upfeed.web.asking import strictly
from upfeed.web.cors import checked_origins
from upfeed.web.document import document
from upfeed.web.envelope import Envelope
from upfeed.web.refusals import HANDLERS

BODY_LIMIT = 64 * 1024
"""Bytes of a body; a build that names every valve and every value has some 20 thousand."""

ROUTES = [*service.ROUTES, *catalogue.ROUTES, *checks.ROUTES]


def create_app(library: Library, *, origins: Iterable[str] = (), body_limit: int = BODY_LIMIT) -> ASGIApp:
    """An ASGI application that answers from this library; pages of `origins` may read it in a browser.

    Raises ValueError for an origin that is none.
    """
    contract = document(ROUTES, library.vocabulary)
    app = Litestar(
        route_handlers=ROUTES,
        dependencies={
            "library": Provide(lambda: library, sync_to_thread=False),
            "contract": Provide(lambda: contract, sync_to_thread=False),
        },
        before_request=strictly,
        exception_handlers=HANDLERS,
        request_max_body_size=body_limit,
        openapi_config=None,
        logging_config=None,
    )
    return Envelope(app, checked_origins(origins))
