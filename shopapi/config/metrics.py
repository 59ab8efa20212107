"""Figures for Prometheus at `/metrics`: requests of all web processes together, and the state of what they use."""

import shutil
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError
from prometheus_client import CollectorRegistry, Counter, Histogram, disable_created_metrics, generate_latest
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.registry import Collector
from redis import Redis, RedisError

from shopapi.config.schedule import TICKS, WORK
from shopapi.core import background

METHODS = {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"}
BROKER_SECONDS = 1.0

# The client library reads the same variable, and writes a file for each process there.
if settings.METRICS_FOLDER:
    Path(settings.METRICS_FOLDER).mkdir(parents=True, exist_ok=True)

# No figure of when each other figure began, which several processes could not tell together.
disable_created_metrics()  # type: ignore[no-untyped-call] # has no types
_own = CollectorRegistry()
REQUESTS = Counter("drawbar_http_requests", "Requests answered.", ["method", "route", "status"], registry=_own)
SECONDS = Histogram(
    "drawbar_http_request_seconds",
    "How long requests took.",
    ["route"],
    buckets=(0.01, 0.05, 0.1, 0.5, 1, 5, 30),
    registry=_own,
)


def count_request(method: str, route: str, status: int, seconds: float) -> None:
    """Count one answered request. `route` is a name from a closed set, never a path."""
    REQUESTS.labels(method, route, str(status)).inc()
    SECONDS.labels(route).observe(seconds)


def render_metrics() -> bytes:
    """All figures in the text format."""
    registry = CollectorRegistry()
    if settings.METRICS_FOLDER:
        MultiProcessCollector(registry)  # type: ignore[no-untyped-call] # registers itself
    else:
        registry.register(_Collected(_own))
    registry.register(_State())
    return generate_latest(registry)


def broker_answers() -> bool:
    """Whether the broker answers a ping within a second."""
    return _queue_lengths() is not None


def free_bytes() -> int:
    """The free room on the disk of the data folder."""
    return shutil.disk_usage(settings.DATA_DIR).free


class _Collected(Collector):
    def __init__(self, registry: CollectorRegistry) -> None:
        self._registry = registry

    def collect(self) -> Iterator[Metric]:
        return iter(self._registry.collect())


class _State(Collector):
    """What is asked at the moment of the request: database, outbox, broker, disk, version."""

    def collect(self) -> Iterator[Metric]:
        version = GaugeMetricFamily("drawbar_info", "The version that runs.", labels=["version"])
        version.add_metric([settings.VERSION], 1)
        yield version
        yield GaugeMetricFamily("drawbar_disk_free_bytes", "Free room for data.", value=free_bytes())
        outbox = _outbox()
        yield GaugeMetricFamily("drawbar_database_up", "Whether the database answers.", value=int(outbox is not None))
        if outbox is not None:
            names = {
                "drawbar_outbox_pending": "Background work that is not done.",
                "drawbar_outbox_failed": "Background work that was given up.",
                "drawbar_outbox_oldest_seconds": "How long the oldest due work has waited.",
            }
            for (name, help_text), value in zip(names.items(), outbox, strict=True):
                yield GaugeMetricFamily(name, help_text, value=value)
        lengths = _queue_lengths()
        yield GaugeMetricFamily("drawbar_broker_up", "Whether the broker answers.", value=int(lengths is not None))
        queues = GaugeMetricFamily("drawbar_queue_length", "Messages that wait in the broker.", labels=["queue"])
        for queue, length in (lengths or {}).items():
            queues.add_metric([queue], length)
        yield queues


def _outbox() -> tuple[int, int, float] | None:
    """Pending, failed, and the age of the oldest due row in seconds, over all shops; None: no answer."""
    try:
        pending, failed = background.outbox_counts()
        return pending, failed, background.overdue().total_seconds()
    except DatabaseError:
        return None


def _queue_lengths() -> dict[str, int] | None:
    try:
        with Redis.from_url(
            settings.REDIS_URL, socket_timeout=BROKER_SECONDS, socket_connect_timeout=BROKER_SECONDS
        ) as broker:
            return {queue: int(str(broker.llen(queue))) for queue in (WORK, TICKS)}
    except RedisError:
        return None
