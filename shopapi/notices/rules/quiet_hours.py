"""Quiet hours, in which messages to customers are not sent."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


def free_at(at: datetime, *, zone: str, begins: time, ends: time) -> datetime:
    """The first instant from `at` on that is outside of the quiet hours of a zone (aware, UTC).

    The hours are local times, from `begins` until `ends`, over midnight when `begins` is later; equal times mean none.
    If a clock change skips `ends`, quiet hours end at the change; if `ends` occurs twice, the first one counts.

    >>> evening = datetime(2026, 3, 7, 21, 30, tzinfo=ZoneInfo("America/Chicago"))
    >>> free_at(evening, zone="America/Chicago", begins=time(20), ends=time(8)).isoformat()
    '2026-03-08T13:00:00+00:00'
    """
    there = at.astimezone(ZoneInfo(zone))
    if not is_quiet(there.time().replace(tzinfo=None), begins=begins, ends=ends):
        return at.astimezone(UTC)
    day = there.date()
    end = _instant(day, ends, zone)
    # Quiet hours that began in the evening end the next day.
    return end if end > at else _instant(day + timedelta(days=1), ends, zone)


def is_quiet(clock: time, *, begins: time, ends: time) -> bool:
    """Whether a local time is within the quiet hours."""
    if begins <= ends:
        return begins <= clock < ends
    return clock >= begins or clock < ends


def _instant(day: date, clock: time, zone: str) -> datetime:
    """The first instant at which the local clock shows, or skips, a time of a day."""
    place = ZoneInfo(zone)
    first = datetime.combine(day, clock, tzinfo=place)
    if first.astimezone(UTC).astimezone(place).replace(tzinfo=None) == first.replace(tzinfo=None):
        return first.astimezone(UTC)
    # A skipped time: the two folds differ, and the clock change is the instant where their offsets meet.
    before = first.replace(fold=1).astimezone(UTC)
    after = first.replace(fold=0).astimezone(UTC)
    while after - before > timedelta(seconds=1):
        middle = before + (after - before) / 2
        if middle.astimezone(place).replace(tzinfo=None) < first.replace(tzinfo=None):
            before = middle
        else:
            after = middle
    return after.replace(microsecond=0)
