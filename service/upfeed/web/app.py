"""The application: routes, what they answer from, one shape of error, one envelope."""

from collections.abc import AsyncIterator, Callable, Iterable
from contextlib import asynccontextmanager

from litestar import Litestar
from litestar.di import Provide
from litestar.types import ASGIApp

from upfeed.answering.library import Library
from upfeed.web import advice, catalogue, checks, gauged, knowing, many, problems, relating, service
from upfeed.web.allowing import options_for
from upfeed.web.answers import Answers
from upfeed.web.asking import strictly
from upfeed.web.computing import Computing
from upfeed.web.cors import checked_origins
from upfeed.web.current import Current, Source
from upfeed.web.desk import Desk
from upfeed.web.document import document
from upfeed.web.envelope import Envelope
from upfeed.web.exampleanswers import example_file, read_examples
from upfeed.web.hosts import checked_hosts
from upfeed.web.limits import DEFAULTS, Limits
from upfeed.web.metrics import Metrics
from upfeed.web.observing import Observing
from upfeed.web.refusals import HANDLERS
from upfeed.web.watching import Snapshot, watching

KEPT_BYTES = 64 * 1024 * 1024
"""Of answers that are kept: some hundreds of checks."""

ROUTES = [
    *service.ROUTES,
    *catalogue.ROUTES,
    *relating.ROUTES,
    *knowing.ROUTES,
    *checks.ROUTES,
    *many.ROUTES,
    *advice.ROUTES,
    *gauged.ROUTES,
    *problems.ROUTES,
]


def create_app(
    library: Library,
    *,
    origins: Iterable[str] = (),
    hosts: Iterable[str] = (),
    limits: Limits = DEFAULTS,
    kept_bytes: int = KEPT_BYTES,
    watched: tuple[Source, Snapshot] | None = None,
    log: Callable[[str], object] | None = None,
) -> ASGIApp:
    """An ASGI application that answers from this library; pages of `origins` may read it in a browser.

    Without `hosts` it answers for any. A `watched` source is read anew when it is no longer in the state that the
    library was read from. `log` takes a line a request. Raises ValueError for an origin or a host that is none.
    """
    computing = Computing(limits.waiting, limits.seconds)
    desk = Desk(
        current=Current(library),
        answers=Answers(kept_bytes, computing),
        limits=limits,
        metrics=Metrics(),
        contract=document(ROUTES, library.vocabulary, limits, read_examples(example_file())),
    )

    @asynccontextmanager
    async def lasting(_: Litestar) -> AsyncIterator[None]:
        if watched is None:
            yield
        else:
            async with watching(desk.current, *watched, desk.metrics.renewal):
                yield
        computing.stop()

    app = Litestar(
        route_handlers=[*options_for(ROUTES), *ROUTES],
        dependencies={
            "desk": Provide(lambda: desk, sync_to_thread=False),
            "library": Provide(lambda: desk.library, sync_to_thread=False),
        },
        before_request=strictly,
        exception_handlers=HANDLERS,
        request_max_body_size=limits.body,
        lifespan=[lasting],
        openapi_config=None,
        logging_config=None,
    )
    return Observing(Envelope(app, checked_origins(origins), checked_hosts(hosts)), desk.metrics, log)
