"""What is counted, for Prometheus to read: requests, how long they take, and quotes by how far they are proven.

The processes of one service share a folder, named by PROMETHEUS_MULTIPROC_DIR, in which each writes its own numbers and
from which any of them tells the sum. A process writes under its place among the workers, which its successor takes over
with the numbers in it: so there are never more files than places, and no number goes back.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Final, Literal

from flask import Response
from prometheus_client import CollectorRegistry, Counter, Histogram, disable_created_metrics, generate_latest, values
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.registry import Collector

from sawbill.web.http import logs

FOLDER: Final = "PROMETHEUS_MULTIPROC_DIR"
CONTENT_TYPE: Final = "text/plain; version=0.0.4; charset=utf-8"
_LOG: Final = logging.getLogger("sawbill.web.running.metrics")
BUCKETS: Final = (0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)
"""The bounds of the times counted together [s]."""

Process = Literal["worker", "back room"]

COUNTED: Final = (
    "waiting", "working", "benched", "started", "late", "crowded", "left", "unseated", "died",
)  # fmt: skip


class Place:
    """Where this process stands among those of its service; None: it is by itself, and named by its number."""

    number: int | None = None
    hold: Callable[[], bool] | None = None
    """Makes the folder again that the processes share, where it is gone, and tells whether it was."""
    _lost = 0

    @classmethod
    def name(cls) -> str:
        """Name it, as none of the processes beside it is named; anew once the folder was lost with what was in it."""
        place = str(os.getpid() if cls.number is None else cls.number)
        return f"{place}-{cls._lost}" if cls._lost else place

    @classmethod
    def mend(cls) -> None:
        """Make the folder again where it is gone. Raises OSError: it cannot be made."""
        if cls.hold is not None and cls.hold():
            cls._lost += 1


def count_together(together: bool) -> None:
    """Say whether what is counted from here on is written where other processes read it.

    The package holds one kind of number for the whole process: the application made last says which.
    """
    values.ValueClass = values.MultiProcessValue(Place.name) if together else values.MutexValue  # type: ignore[no-untyped-call]  # untyped


class Meters:
    """The meters of an application."""

    def __init__(self) -> None:
        disable_created_metrics()  # type: ignore[no-untyped-call]  # untyped
        self._shared, self._failed = FOLDER in os.environ, False
        count_together(self._shared)
        self._registry = CollectorRegistry()
        self._requests = Counter(
            "sawbill_requests", "Requests answered.", ("route", "method", "status"), registry=self._registry
        )
        self._seconds = Histogram(
            "sawbill_request_seconds",
            "How long answers took.",
            ("route", "method"),
            registry=self._registry,
            buckets=BUCKETS,
        )
        self._quotes = Counter(
            "sawbill_quotes", "Quotes worked out, by how far they are proven.", ("proof",), registry=self._registry
        )
        self._stuck = Counter(
            "sawbill_stuck_processes",
            "Processes that stood still, and were ended and replaced.",
            ("process",),
            registry=self._registry,
        )

    def count_request(self, response: Response) -> Response:
        """Count the request at hand."""
        route, method = logs.route(), logs.method()
        with self._as_well_as_can_be():
            self._requests.labels(route, method, str(response.status_code)).inc()
            self._seconds.labels(route, method).observe(logs.seconds())
        return response

    def count_quote(self, proof: str) -> None:
        """Count a quote that was worked out."""
        with self._as_well_as_can_be():
            self._quotes.labels(proof).inc()

    def count_stuck(self, process: Process) -> None:
        """Count a process that stood still and was replaced."""
        with self._as_well_as_can_be():
            self._stuck.labels(process).inc()

    def told(self, room: Mapping[str, int]) -> bytes:
        """Tell the sums over all processes, in the text format of Prometheus; room: what the back room tells."""
        beside = _beside(room)
        if self._shared:
            with self._as_well_as_can_be():
                shared = CollectorRegistry()
                MultiProcessCollector(shared)  # type: ignore[no-untyped-call]  # untyped
                return generate_latest(shared) + beside
        return generate_latest(self._registry) + beside

    @contextmanager
    def _as_well_as_can_be(self) -> Iterator[None]:
        """Count, or tell what was counted; what goes wrong with that is logged once, and fails no request."""
        try:
            Place.mend()
        except OSError as error:
            self._tell(error)
        try:
            yield
        except Exception as error:
            self._tell(error)

    def _tell(self, error: Exception) -> None:
        if not self._failed:
            _LOG.warning("requests are not counted: %r", error)
        self._failed = True


class _BackRoom(Collector):
    """What the back room tells, as it is now."""

    def __init__(self, room: Mapping[str, int]) -> None:
        self._room = room

    def collect(self) -> Iterator[Metric]:
        """Give it as a meter."""
        found = GaugeMetricFamily(
            "sawbill_back_room",
            "Work now waiting, working or benched; and since it began, engines started, work that was late, crowded "
            "out, left by who asked or unseated, and engines that died.",
            labels=["what"],
        )
        for name, count in sorted(room_counts(self._room).items()):
            found.add_metric([name], count)
        yield found


def room_counts(room: Mapping[str, int]) -> dict[str, int]:
    """Tell all that may be counted, also what is none yet."""
    return dict.fromkeys(COUNTED, 0) | dict(room)


def _beside(room: Mapping[str, int]) -> bytes:
    registry = CollectorRegistry()
    registry.register(_BackRoom(room))
    return generate_latest(registry) if room else b""
