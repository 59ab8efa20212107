"""How clocks meet: doubts, and which entries of one member are in dispute.

Twin: `pwa/src/domain/labor/clock.ts`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from shopapi.core.errors import Reason
from shopapi.labor.rules.entry import EntryAnomaly, EntryState

# A stamp may be this far ahead before it counts as lying in the future.
AHEAD = timedelta(minutes=5)
LONGEST = timedelta(hours=24)
# Two phones in one pair of hands are not stopped in the same second.
ALIKE = timedelta(minutes=1)


@dataclass(frozen=True)
class EntrySpan:
    """What decides about an entry. `ended_at` None: it runs, and is taken as running for ever.

    One that ended before it began has no time of its own until someone says when it ended.
    """

    id: UUID
    started_at: datetime
    ended_at: datetime | None
    doubt: str = ""


def overlap(one: EntrySpan, other: EntrySpan) -> bool:
    """Whether two spans share a moment. One that ends when the other begins does not."""
    if EntryAnomaly.ENDS_FIRST in (one.doubt, other.doubt):
        return False
    return (other.ended_at is None or one.started_at < other.ended_at) and (
        one.ended_at is None or other.started_at < one.ended_at
    )


def ends_alike(one: datetime | None, other: datetime) -> bool:
    """Whether two ends of one clock say the same."""
    return one is not None and abs(one - other) <= ALIKE


def anomaly_in(started_at: datetime, ended_at: datetime | None, now: datetime) -> EntryAnomaly | None:
    """What is wrong with a span by itself, judged at the moment `now`."""
    if ended_at is not None and ended_at <= started_at:
        return EntryAnomaly.ENDS_FIRST
    if max(started_at, ended_at or started_at) > now + AHEAD:
        return EntryAnomaly.IN_FUTURE
    if ended_at is not None and ended_at - started_at > LONGEST:
        return EntryAnomaly.TOO_LONG
    return None


def state_of(span: EntrySpan, others: Iterable[EntrySpan]) -> EntryState:
    """The state of a span that counts, beside the others of the same member that do.

    It is in dispute exactly while it shares a moment with another or is doubtful by itself: the order in which clocks
    become known does not matter.
    """
    if span.doubt or any(other.id != span.id and overlap(span, other) for other in others):
        return EntryState.DISPUTED
    return EntryState.OPEN if span.ended_at is None else EntryState.CLOSED


def states_of(spans: Iterable[EntrySpan]) -> Mapping[UUID, EntryState]:
    """The state of each of a member's spans that count."""
    known = list(spans)
    return {span.id: state_of(span, known) for span in known}


def clock_set_reason(
    by_phone: tuple[datetime | None, datetime | None], booked: tuple[datetime, datetime | None], off_ms: int, zone: str
) -> Reason:
    """What a person is asked about an entry whose phone's clock was set: what it showed, what is booked (start, end).

    `off_ms`: how far off that may be; `zone`: the IANA zone of the shop.
    """
    shown, stands = (_span_phrase(each, zone) for each in (by_phone, booked))
    return Reason("time_clock_set", {"minutes": round(off_ms / 60_000), "shown": shown, "booked": stands})


def _span_phrase(span: tuple[datetime | None, datetime | None], zone: str) -> Reason:
    start, end = (None if at is None else _wall_time(at.astimezone(ZoneInfo(zone))) for at in span)
    begun = start or Reason("no_start")
    return (
        Reason("span_running", {"start": begun}) if end is None else Reason("span_ended", {"start": begun, "end": end})
    )


def _wall_time(at: datetime) -> Reason:
    return Reason("wall_time", {"month": at.month, "day": at.day, "time": f"{at:%H:%M}"})
