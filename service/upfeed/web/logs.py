"""The log of a running service: one JSON object a line, on standard error."""

import logging
import os
from collections.abc import Mapping
from contextlib import suppress
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any

import msgspec

_STANDARD_ERROR = 2


def line(at: float, level: str, logger: str, told: Mapping[str, Any]) -> str:
    """What is told, as a line; `at` is in seconds since 1970."""
    second, thousandths = divmod(int(at * 1000), 1000)
    when = f"{_to_the_second(second)}.{thousandths:03d}+00:00"
    about = {"time": when, "level": level, "logger": logger, "process": os.getpid(), **told}
    return msgspec.json.encode(about).decode() + "\n"


@lru_cache(1)
def _to_the_second(at: int) -> str:
    """Lines come in hundreds a second."""
    return datetime.fromtimestamp(at, UTC).strftime("%Y-%m-%dT%H:%M:%S")


def on_standard_error(text: str) -> None:
    """Write a line whole, so that lines of several processes do not mix; a log that can't be written stops nothing."""
    with suppress(OSError):
        os.write(_STANDARD_ERROR, text.encode())


class Lines(logging.Formatter):
    """A record as a line."""

    def format(self, record: logging.LogRecord) -> str:
        """The line, without its end."""
        told = {"message": record.getMessage()}
        if record.exc_info:
            told["exception"] = self.formatException(record.exc_info)
        return line(record.created, record.levelname.lower(), record.name, told).rstrip()


LOG_CONFIG: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"lines": {"()": Lines}},
    "handlers": {
        "stderr": {"class": "logging.StreamHandler", "formatter": "lines", "stream": "ext://sys.stderr"}
    },
    "root": {"level": "WARNING", "handlers": ["stderr"]},
    # watchfiles reports each look at the folders.
    "loggers": {
        "uvicorn": {"level": "INFO"},
        "upfeed": {"level": "INFO"},
        "watchfiles": {"level": "WARNING"},
    },
}
"""For logging.config: warnings of everything, and news of the server and the service."""
