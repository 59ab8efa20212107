"""Quiet hours: when a message to a customer waits for the morning."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


def free_at(at: datetime, *, zone: str, begins: time, ends: time) -> datetime:
    """The first instant from `at` on that is outside the quiet hours of a place (aware, UTC).

    The hours are those of the clock on its wall, from `begins` until `ends`, over midnight when `begins` is later;
    equal ones mean none. When clocks are put forward over `ends`, quiet ends as the clock jumps past it; an `ends`
    that comes twice is the first one.

    >>> evening = datetime(2026, 3, 7, 21, 30, tzinfo=ZoneInfo("America/Chicago"))
    >>> free_at(evening, zone="America/Chicago", begins=time(20), ends=time(8)).isoformat()
    '2026-03-08T13:00:00+00:00'
    """
    there = at.astimezone(ZoneInfo(zone))
    if not is_quiet(there.time().replace(tzinfo=None), begins=begins, ends=ends):
        return at.astimezone(UTC)
    day = there.date()
    end = _instant(day, ends, zone)
    # What is quiet in the evening ends tomorrow.
    return end if end > at else _instant(day + timedelta(days=1), ends, zone)


def is_quiet(clock: time, *, begins: time, ends: time) -> bool:
    """Whether a time of day is within the quiet hours."""
    if begins <= ends:
        return begins <= clock < ends
    return clock >= begins or clock < ends


def _instant(day: date, clock: time, zone: str) -> datetime:
    """The instant at which the clock first shows, or jumps past, a time of a day."""
    place = ZoneInfo(zone)
    first = datetime.combine(day, clock, tzinfo=place)
    if first.astimezone(UTC).astimezone(place).replace(tzinfo=None) == first.replace(tzinfo=None):
        return first.astimezone(UTC)
    # The clock never shows it: the jump lies where the offset before it meets the one after it.
    before = first.replace(fold=1).astimezone(UTC)
    after = first.replace(fold=0).astimezone(UTC)
    while after - before > timedelta(seconds=1):
        middle = before + (after - before) / 2
        if middle.astimezone(place).replace(tzinfo=None) < first.replace(tzinfo=None):
            before = middle
        else:
            after = middle
    return after.replace(microsecond=0)
