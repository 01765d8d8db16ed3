"""What is counted, as Prometheus reads it; workers write to one folder and each tells of all."""

import os
from collections.abc import Callable
from functools import cache
from typing import Any

from prometheus_client import CollectorRegistry, Counter, Histogram, generate_latest
from prometheus_client.metrics import MetricWrapperBase
from prometheus_client.multiprocess import MultiProcessCollector

FOLDER = "PROMETHEUS_MULTIPROC_DIR"
"""Names the folder that several workers share; prometheus_client reads it when it is imported."""

MEDIA = "text/plain; version=0.0.4"

_BUCKETS = (0.001, 0.005, 0.02, 0.1, 0.25, 0.5, 1, 2, 5, 10, 30, 60)
"""Seconds: what is kept takes a millisecond, a check some hundreds, and half a minute is the limit."""

_METHODS = ("GET", "HEAD", "OPTIONS", "POST")


def _series(of: MetricWrapperBase) -> Callable[..., Any]:
    """The series of some labels; to look one up takes longer than to count, and there are few."""
    return cache(of.labels)


class Metrics:
    """Counts requests by route (as the contract writes it, so that ids make no series), answers and renewals."""

    def __init__(self) -> None:
        self._registry = CollectorRegistry()
        requests = Counter(
            "upfeed_requests", "Requests answered.", ("method", "route", "status"), registry=self._registry
        )
        seconds = Histogram(
            "upfeed_request_seconds",
            "Seconds from a request to the end of its reply.",
            ("route",),
            buckets=_BUCKETS,
            registry=self._registry,
        )
        answers = Counter(
            "upfeed_answers",
            "Answers that take computing: computed, kept from before, or unchanged for the asker.",
            ("found",),
            registry=self._registry,
        )
        self._requests, self._seconds, self._answers = map(_series, (requests, seconds, answers))
        self._renewals = Counter(
            "upfeed_renewals",
            "Knowledge read anew: swapped in, or refused.",
            ("outcome",),
            registry=self._registry,
        )

    def request(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count a request."""
        self._requests(method if method in _METHODS else "other", route, str(status)).inc()
        self._seconds(route).observe(seconds)

    def answer(self, found: str) -> None:
        """Count an answer that takes computing."""
        self._answers(found).inc()

    def renewal(self, succeeded: bool) -> None:
        """Count a renewal of the library."""
        self._renewals.labels("swapped" if succeeded else "refused").inc()

    def told(self) -> bytes:
        """Everything counted, in Prometheus' text format; by all workers, where there are several."""
        if FOLDER not in os.environ:
            return generate_latest(self._registry)
        shared = CollectorRegistry()
        MultiProcessCollector(shared)  # type: ignore[no-untyped-call]
        return generate_latest(shared)
