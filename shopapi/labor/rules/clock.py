"""Anomalies of single entries, overlaps, and which entries of one member are in dispute.

Twin: `pwa/src/domain/labor/clock.ts`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from shopapi.core.errors import Reason
from shopapi.labor.rules.entry import EntryAnomaly, EntryState

# A stamp may be this far ahead of the server before it counts as in the future.
AHEAD = timedelta(minutes=5)
LONGEST = timedelta(hours=24)
# Two ends this close are taken as one: a person who stops the clock on two phones does not do it in one second.
ALIKE = timedelta(minutes=1)


@dataclass(frozen=True)
class EntrySpan:
    """What decides the state of an entry. `ended_at` None: it runs and has no upper bound.

    A span that ends before it begins overlaps nothing until somebody corrects its end.
    """

    id: UUID
    started_at: datetime
    ended_at: datetime | None
    anomaly: str = ""


def overlap(one: EntrySpan, other: EntrySpan) -> bool:
    """Whether two spans overlap. One that ends when the other begins does not."""
    if EntryAnomaly.ENDS_FIRST in (one.anomaly, other.anomaly):
        return False
    return (other.ended_at is None or one.started_at < other.ended_at) and (
        one.ended_at is None or other.started_at < one.ended_at
    )


def ends_alike(one: datetime | None, other: datetime) -> bool:
    """Whether two ends of one entry are close enough to be the same."""
    return one is not None and abs(one - other) <= ALIKE


def anomaly_in(started_at: datetime, ended_at: datetime | None, now: datetime) -> EntryAnomaly | None:
    """What is wrong with a span by itself at the moment `now`; None: nothing."""
    if ended_at is not None and ended_at <= started_at:
        return EntryAnomaly.ENDS_FIRST
    if max(started_at, ended_at or started_at) > now + AHEAD:
        return EntryAnomaly.IN_FUTURE
    if ended_at is not None and ended_at - started_at > LONGEST:
        return EntryAnomaly.TOO_LONG
    return None


def state_of(span: EntrySpan, others: Iterable[EntrySpan]) -> EntryState:
    """The state of a span that counts, given the member's other spans that count.

    It is in dispute exactly while it overlaps another or has an anomaly of its own, so the order in which entries
    arrive does not matter.
    """
    if span.anomaly or any(other.id != span.id and overlap(span, other) for other in others):
        return EntryState.DISPUTED
    return EntryState.OPEN if span.ended_at is None else EntryState.CLOSED


def states_of(spans: Iterable[EntrySpan]) -> Mapping[UUID, EntryState]:
    """The state of each of a member's spans that count."""
    known = list(spans)
    return {span.id: state_of(span, known) for span in known}


def clock_set_reason(
    by_phone: tuple[datetime | None, datetime | None], booked: tuple[datetime, datetime | None], off_ms: int, zone: str
) -> Reason:
    """The issue about an entry on a phone whose clock was set: what it showed and what is booked (start, end).

    `off_ms`: the possible error in milliseconds; `zone`: the IANA zone of the shop.
    """
    shown, booked_span = (_span_phrase(each, zone) for each in (by_phone, booked))
    return Reason("time_clock_set", {"minutes": round(off_ms / 60_000), "shown": shown, "booked": booked_span})


def _span_phrase(span: tuple[datetime | None, datetime | None], zone: str) -> Reason:
    start, end = (None if at is None else _wall_time(at.astimezone(ZoneInfo(zone))) for at in span)
    begun = start or Reason("no_start")
    return (
        Reason("span_running", {"start": begun}) if end is None else Reason("span_ended", {"start": begun, "end": end})
    )


def _wall_time(at: datetime) -> Reason:
    return Reason("wall_time", {"month": at.month, "day": at.day, "time": f"{at:%H:%M}"})
