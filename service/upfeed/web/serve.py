"""Runs the service under uvicorn, on the loopback address unless told otherwise."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from tempfile import TemporaryDirectory
from typing import Any

import msgspec
import uvicorn
from litestar.types import ASGIApp

from upfeed.web.app import create_app
from upfeed.web.cors import checked_origins
from upfeed.web.hosts import checked_hosts, hosts_at
from upfeed.web.logs import LOG_CONFIG, on_standard_error
from upfeed.web.metrics import FOLDER
from upfeed.web.settings import Settings
from upfeed.web.settling import settle
from upfeed.web.watching import snapshot

_HANDED_ON = "UPFEED_SERVE"
"""Where worker processes find what they are to serve; they share nothing else with the one that starts them."""

_TO_START = 60  # s; until a worker that says nothing counts as hung
_TO_END = 5  # s beyond the time an answer may take; until a request that is still open is dropped


def serve(settings: Settings) -> None:
    """Answer requests until the process is told to stop; requests that are open then are still answered.

    Raises DataFaults for knowledge or rules that can't be used, ValueError for an origin or a host that is none,
    OSError where the address can't be had.
    """
    checked_origins(settings.origins)
    checked_hosts(settings.hosts)
    try:
        if settings.workers == 1:
            _run(application(settings), settings)
        else:
            settings.source.open()
            with _shared(settings):
                _run(f"{__name__}:worker", settings, factory=True, workers=settings.workers)
    except SystemExit as stopped:
        if stopped.code:
            told = f"can't serve on {settings.host}, port {settings.port}; the lines above say why"
            raise OSError(told) from stopped


def worker() -> ASGIApp:
    """The application of one worker process."""
    return application(msgspec.json.decode(os.environ[_HANDED_ON], type=Settings))


def application(settings: Settings) -> ASGIApp:
    """The application that these settings ask for. Raises what `serve` does."""
    source = settings.source
    seen = snapshot(source.folders)
    app = create_app(
        source.open(),
        origins=settings.origins,
        hosts=hosts_at(settings.host, settings.hosts),
        limits=settings.limits,
        kept_bytes=settings.kept * 1024 * 1024,
        watched=(source, seen) if settings.watch else None,
        log=on_standard_error if settings.access_log else None,
    )
    settle()
    return app


def _run(app: ASGIApp | str, settings: Settings, **more: Any) -> None:
    uvicorn.run(
        app,
        host=settings.host,
        port=settings.port,
        server_header=False,
        access_log=False,
        log_config=LOG_CONFIG,
        timeout_graceful_shutdown=int(settings.limits.seconds) + _TO_END,
        timeout_worker_healthcheck=_TO_START,
        **more,
    )


@contextmanager
def _shared(settings: Settings) -> Iterator[None]:
    """What worker processes find in their environment: the settings, and a folder to count in."""
    os.environ[_HANDED_ON] = msgspec.json.encode(settings).decode()
    if FOLDER in os.environ:
        yield
        return
    with TemporaryDirectory(prefix="upfeed-metrics-") as folder:
        os.environ[FOLDER] = folder
        try:
            yield
        finally:
            del os.environ[FOLDER]
