"""The application: routes, their library, one shape of error, one envelope."""

from collections.abc import Iterable

from litestar import Litestar
from litestar.di import Provide
from litestar.types import ASGIApp

from upfeed.answering.library import Library
from upfeed.web import catalogue, checks, problems, service
from upfeed.web.answers import Answers
from upfeed.web.asking import strictly
from upfeed.web.computing import Computing
from upfeed.web.cors import checked_origins
from upfeed.web.document import document
from upfeed.web.envelope import Envelope
from upfeed.web.hosts import checked_hosts
from upfeed.web.limits import DEFAULTS, Limits
from upfeed.web.refusals import HANDLERS

KEPT_BYTES = 64 * 1024 * 1024
"""Of answers that are kept: some hundreds of checks."""

ROUTES = [*service.ROUTES, *catalogue.ROUTES, *checks.ROUTES, *problems.ROUTES]


def create_app(
    library: Library,
    *,
    origins: Iterable[str] = (),
    hosts: Iterable[str] = (),
    limits: Limits = DEFAULTS,
    kept_bytes: int = KEPT_BYTES,
) -> ASGIApp:
    """An ASGI application that answers from this library; pages of `origins` may read it in a browser.

    Without `hosts` it answers for any. Raises ValueError for an origin or a host that is none.
    """
    contract = document(ROUTES, library.vocabulary, limits)
    computing = Computing(limits.waiting, limits.seconds)
    answers = Answers(kept_bytes, computing, lambda _: None)
    known = {"library": library, "contract": contract, "answers": answers, "limits": limits}
    app = Litestar(
        route_handlers=ROUTES,
        dependencies={name: _always(thing) for name, thing in known.items()},
        before_request=strictly,
        exception_handlers=HANDLERS,
        request_max_body_size=limits.body,
        openapi_config=None,
        logging_config=None,
    )
    return Envelope(app, checked_origins(origins), checked_hosts(hosts))


def _always(thing: object) -> Provide:
    return Provide(lambda: thing, sync_to_thread=False)
