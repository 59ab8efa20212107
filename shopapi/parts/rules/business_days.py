"""Days on which the shop works: its weekdays, without public holidays and its own closed days.

Same results as `numpy.busday_offset` and `numpy.busday_count`. Twin: `pwa/src/domain/parts/businessDays.ts`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from shopapi.accounts.rules import WEEK_DAYS, ShopCalendar, closed_days

DAY = timedelta(days=1)
# A shop that is closed this long has no business day that anybody could be told.
LONGEST_CLOSED = 3 * 366


@dataclass(frozen=True)
class OpenDays:
    """When the shop works. `weekdays`: Monday is 0."""

    weekdays: frozenset[int] = frozenset(range(5))
    closed: frozenset[date] = frozenset()

    def __contains__(self, day: date) -> bool:
        return day.weekday() in self.weekdays and day not in self.closed


def open_days_of(calendar: ShopCalendar, holidays: Iterable[date]) -> OpenDays:
    """When the shop works by its calendar, without these public holidays."""
    weekdays = frozenset(WEEK_DAYS.index(day) for day in calendar.open_on)
    return OpenDays(weekdays, closed_days(calendar) | frozenset(holidays))


def add_business_days(day: date, count: int, open_days: OpenDays) -> date:
    """The business day so many after a day, or before it if negative.

    A day on which the shop is closed counts as the next open one, going back as the one before. Raises OverflowError if
    the shop is closed for years.

    >>> add_business_days(date(2026, 11, 27), 1, OpenDays())
    datetime.date(2026, 11, 30)
    """
    step = DAY if count >= 0 else -DAY
    day = _next_open(day, step, open_days)
    for _ in range(abs(count)):
        day = _next_open(day + step, step, open_days)
    return day


def _next_open(day: date, step: timedelta, open_days: OpenDays) -> date:
    for _ in range(LONGEST_CLOSED):
        if day in open_days:
            return day
        day += step
    raise OverflowError("closed for years")


def business_days_between(first: date, last: date, open_days: OpenDays) -> int:
    """How many business days from the first day up to the last, which is not counted; 0 if it is not later."""
    return sum(first + timedelta(days=n) in open_days for n in range((last - first).days))
