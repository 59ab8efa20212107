"""The only module that reads the system clock."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime, timedelta
from datetime import time as time_of_day
from typing import Any
from zoneinfo import ZoneInfo

ARRIVED = "drawbar.arrived"
"""Key of the WSGI environment under which the web server stores when the first byte came, in Unix seconds."""

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

_held: ContextVar[datetime | None] = ContextVar("held", default=None)


def machine_time_ns() -> int:
    """What the machine's clock shows, in nanoseconds since 1970. Nothing else reads it: tests replace this function."""
    return time.time_ns()


def now() -> datetime:
    """The present instant, aware, in UTC."""
    return _held.get() or EPOCH + timedelta(microseconds=machine_time_ns() // 1000)


def arrived_at(environment: dict[str, Any]) -> datetime:
    """When the first byte of a request arrived, from its WSGI environment; the body may take minutes more."""
    return datetime.fromtimestamp(environment.setdefault(ARRIVED, now().timestamp()), UTC)


@contextmanager
def held_at(instant: datetime) -> Iterator[None]:
    """Freeze `now` at `instant` (aware) within the block, so that the demo's past is made by today's services."""
    token = _held.set(instant)
    try:
        yield
    finally:
        _held.reset(token)


def today(zone: str) -> date:
    """The shop's own date at this instant; `zone` is an IANA name."""
    return now().astimezone(ZoneInfo(zone)).date()


def tomorrow_at(zone: str) -> datetime:
    """When the shop's next day begins, in UTC."""
    return datetime.combine(today(zone) + timedelta(days=1), time_of_day(), ZoneInfo(zone)).astimezone(UTC)
