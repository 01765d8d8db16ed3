"""Runs the service under uvicorn, on the loopback address unless told otherwise."""

import json
import os
from collections.abc import Sequence
from pathlib import Path

import uvicorn
from litestar.types import ASGIApp

from upfeed.answering.library import open_library
from upfeed.web.app import create_app
from upfeed.web.cors import checked_origins

HOST, PORT = "127.0.0.1", 8080
_HANDED_ON = "UPFEED_SERVE"
"""Where worker processes find what they are to serve; they share nothing else with the one that starts them."""


def serve(
    host: str = HOST,
    port: int = PORT,
    *,
    origins: Sequence[str] = (),
    kb: Sequence[Path] = (),
    rules: Sequence[Path] = (),
    workers: int = 1,
) -> None:
    """Answer requests until the process is told to stop.

    Raises DataFaults for knowledge or rules that can't be used, ValueError for an origin that is none, OSError
    where the address can't be had.
    """
    library = open_library(kb, rules)
    allowed = sorted(checked_origins(origins))
    try:
        if workers == 1:
            uvicorn.run(create_app(library, origins=allowed), host=host, port=port, server_header=False)
        else:
            os.environ[_HANDED_ON] = _handed_on(allowed, kb, rules)
            uvicorn.run(
                f"{__name__}:worker", factory=True, host=host, port=port, workers=workers, server_header=False
            )
    except SystemExit as stopped:
        if stopped.code:
            raise OSError(f"can't serve on {host}, port {port}; the lines above say why") from stopped


def worker() -> ASGIApp:
    """The application of one worker process."""
    told = json.loads(os.environ[_HANDED_ON])
    library = open_library([Path(path) for path in told["kb"]], [Path(path) for path in told["rules"]])
    return create_app(library, origins=told["origins"])


def _handed_on(origins: Sequence[str], kb: Sequence[Path], rules: Sequence[Path]) -> str:
    paths = {"kb": [str(path) for path in kb], "rules": [str(path) for path in rules]}
    return json.dumps({"origins": list(origins), **paths})
