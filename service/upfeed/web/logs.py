"""The log of a running service: one JSON object a line, on standard error."""

import logging
import os
from datetime import UTC, datetime
from typing import Any

import msgspec


class Lines(logging.Formatter):
    """A record as one line of JSON, what is told beside its message included."""

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        told = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "process": os.getpid(),
            "message": record.getMessage(),
            **getattr(record, "told", {}),
        }
        if record.exc_info:
            told["exception"] = self.formatException(record.exc_info)
        return msgspec.json.encode(told).decode()


def log_config(access: bool) -> dict[str, Any]:
    """For logging.config: warnings of everything, news of the server and the service, and each request if asked."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"lines": {"()": Lines}},
        "handlers": {
            "stderr": {"class": "logging.StreamHandler", "formatter": "lines", "stream": "ext://sys.stderr"}
        },
        "root": {"level": "WARNING", "handlers": ["stderr"]},
        "loggers": {
            "uvicorn": {"level": "INFO"},
            "upfeed": {"level": "INFO"},
            "upfeed.access": {"level": "INFO" if access else "WARNING"},
            # It reports each look at the folders.
            "watchfiles": {"level": "WARNING"},
        },
    }
