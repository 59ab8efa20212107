"""The one place that asks what time it is."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

ARRIVED = "drawbar.arrived"
"""Where the web server notes in a request's environment when its first byte came, in seconds since 1970."""

_held: ContextVar[datetime | None] = ContextVar("held", default=None)


def now() -> datetime:
    """The present instant, aware, in UTC."""
    return _held.get() or datetime.now(UTC)


def arrived_at(environment: dict[str, Any]) -> datetime:
    """When the first byte of a request arrived, by the environment it came in; its body may have taken minutes more."""
    return datetime.fromtimestamp(environment.setdefault(ARRIVED, now().timestamp()), UTC)


@contextmanager
def held_at(instant: datetime) -> Iterator[None]:
    """Let it be `instant` (aware) within the block: the demo shop tells its past through today's services."""
    token = _held.set(instant)
    try:
        yield
    finally:
        _held.reset(token)


def today(zone: str) -> date:
    """The shop's own date at this instant; `zone` is an IANA name."""
    return now().astimezone(ZoneInfo(zone)).date()
