"""How clocks meet: repair of stamps, doubts, and which entries of one member are in dispute.

Twin: `pwa/src/domain/clock.ts`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from uuid import UUID

from shopapi.labor.rules.entry import Doubt, State

# Under this a push on a bad line cannot tell a wrong clock from a slow answer.
LEAST_SKEW_MS = 120_000
# A stamp may be this far ahead before it counts as lying in the future.
AHEAD = timedelta(minutes=5)
LONGEST = timedelta(hours=24)
# Two phones in one pair of hands are not stopped in the same second.
ALIKE = timedelta(minutes=1)


def repair_of(skew_ms: int) -> int:
    """How much of a measured skew is taken off a stamp: all of it, or nothing while it is small.

    >>> [repair_of(skew) for skew in (90_000, -7_200_000)]
    [0, -7200000]
    """
    return skew_ms if abs(skew_ms) > LEAST_SKEW_MS else 0


def repaired(stamp: datetime, skew_ms: int) -> datetime:
    """The instant at which a device whose clock was ahead by `skew_ms` showed `stamp`."""
    return stamp.astimezone(UTC) - timedelta(milliseconds=repair_of(skew_ms))


@dataclass(frozen=True)
class Span:
    """What decides about an entry. `ended_at` None: it runs, and is taken as running for ever.

    One that ended before it began has no time of its own until someone says when it ended.
    """

    id: UUID
    started_at: datetime
    ended_at: datetime | None
    doubt: str = ""


def overlap(one: Span, other: Span) -> bool:
    """Whether two spans share a moment. One that ends when the other begins does not."""
    if Doubt.ENDS_FIRST in (one.doubt, other.doubt):
        return False
    return (other.ended_at is None or one.started_at < other.ended_at) and (
        one.ended_at is None or other.started_at < one.ended_at
    )


def ends_alike(one: datetime | None, other: datetime) -> bool:
    """Whether two ends of one clock say the same."""
    return one is not None and abs(one - other) <= ALIKE


def doubt_about(started_at: datetime, ended_at: datetime | None, now: datetime) -> Doubt | None:
    """What is amiss with a span by itself, told at the moment `now`."""
    if ended_at is not None and ended_at <= started_at:
        return Doubt.ENDS_FIRST
    if max(started_at, ended_at or started_at) > now + AHEAD:
        return Doubt.IN_FUTURE
    if ended_at is not None and ended_at - started_at > LONGEST:
        return Doubt.TOO_LONG
    return None


def state_of(span: Span, others: Iterable[Span]) -> State:
    """The state of a span that counts, beside the others of the same member that do.

    It is in dispute exactly while it shares a moment with another or is doubtful by itself: the order in which clocks
    become known does not matter.
    """
    if span.doubt or any(other.id != span.id and overlap(span, other) for other in others):
        return State.DISPUTED
    return State.OPEN if span.ended_at is None else State.CLOSED


def states_of(spans: Iterable[Span]) -> Mapping[UUID, State]:
    """The state of each of a member's spans that count."""
    known = list(spans)
    return {span.id: state_of(span, known) for span in known}
