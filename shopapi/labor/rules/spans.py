"""Ended spans of time, and splitting them by the days and weeks of the shop.

Twin: `pwa/src/domain/labor/worked.ts`.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from shopapi.accounts.rules import WEEK_DAYS

DAYS_OF_WEEK = 7


@dataclass(frozen=True)
class WorkSpan:
    """A span that has ended and counts. Instants are aware, in UTC; `line_id` is a quote line."""

    member_id: UUID
    kind: str
    started_at: datetime
    ended_at: datetime
    job_id: UUID | None = None
    operation: str = ""
    line_id: UUID | None = None

    @property
    def seconds(self) -> int:
        """Elapsed seconds, not the difference of local times: they differ where daylight saving changes."""
        return (self.ended_at - self.started_at) // timedelta(seconds=1)


@dataclass(frozen=True)
class Day:
    """One day of the shop, from its first moment to that of the next day: 23 to 25 hours where clocks change."""

    on: date
    begins_at: datetime
    ends_at: datetime


def first_moment(day: date, zone: str) -> datetime:
    """When a day begins in a zone, in UTC. Where midnight is skipped it is the moment of the clock change.

    >>> first_moment(date(2026, 3, 9), "America/New_York").isoformat()
    '2026-03-09T04:00:00+00:00'
    """
    return datetime.combine(day, time(), ZoneInfo(zone)).astimezone(UTC)


def days_from(first: date, count: int, zone: str) -> list[Day]:
    """Consecutive days without gaps."""
    starts = [first_moment(first + timedelta(days=ahead), zone) for ahead in range(count + 1)]
    return [Day(first + timedelta(days=ahead), starts[ahead], starts[ahead + 1]) for ahead in range(count)]


def first_of_week(day: date, week_start: str) -> date:
    """The first day of the week that contains a day.

    >>> first_of_week(date(2026, 11, 25), "monday").isoformat(), first_of_week(date(2026, 11, 25), "sunday").isoformat()
    ('2026-11-23', '2026-11-22')
    """
    return day - timedelta(days=(day.weekday() - WEEK_DAYS.index(week_start)) % DAYS_OF_WEEK)


def clip_spans(spans: Iterable[WorkSpan], begins_at: datetime, ends_at: datetime) -> Iterator[WorkSpan]:
    """The part of each span between two moments."""
    for span in spans:
        started_at, ended_at = max(span.started_at, begins_at), min(span.ended_at, ends_at)
        if started_at < ended_at:
            yield replace(span, started_at=started_at, ended_at=ended_at)


def split_by_day(spans: Iterable[WorkSpan], days: Sequence[Day]) -> list[tuple[date, WorkSpan]]:
    """Split each span at day boundaries."""
    known = list(spans)
    return [(day.on, part) for day in days for part in clip_spans(known, day.begins_at, day.ends_at)]
