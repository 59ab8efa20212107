"""A member's runs as an iCalendar feed (RFC 5545): one event per run, with its stops in the description."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from icalendar import Calendar, Event


@dataclass(frozen=True)
class RunEvent:
    """A run as a calendar event; without times it lasts the whole day."""

    id: UUID
    rig: str
    day: date
    leaves_at: datetime | None
    home_at: datetime | None
    changed_at: datetime
    cancelled: bool
    stops: Sequence[str]


def feed(shop: str, runs: Sequence[RunEvent]) -> bytes:
    """The feed's bytes: UTF-8, lines folded at 75 octets, times in UTC."""
    calendar = Calendar()
    calendar.add("prodid", "-//Drawbar//Runs//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", f"{shop}: runs")
    for run in runs:
        calendar.add_component(_event(run))
    return bytes(calendar.to_ical())


def _event(run: RunEvent) -> Event:
    event = Event()
    event.add("uid", f"{run.id}@drawbar")
    event.add("dtstamp", run.changed_at)
    event.add("last-modified", run.changed_at)
    if run.leaves_at is not None and run.home_at is not None and run.home_at > run.leaves_at:
        event.add("dtstart", run.leaves_at)
        event.add("dtend", run.home_at)
    else:
        event.add("dtstart", run.day)
        event.add("dtend", run.day + timedelta(days=1))
    count = len(run.stops)
    event.add("summary", f"{run.rig}: {count} stop{'' if count == 1 else 's'}")
    event.add("description", "\n".join(run.stops))
    event.add("status", "CANCELLED" if run.cancelled else "CONFIRMED")
    return event
