"""When a command was really made: an estimate of how far the phone's clock was ahead of the server's.

A phone has two clocks. The *wall* clock can be wrong and can be set at any moment. The *monotonic* clock cannot be
set, but it starts at zero each time the app is opened (a *session*) and stands still while the phone sleeps. So a
wall clock that gained on the monotonic one was set forward, or the phone slept; one that lost was set back. Which of
the two it was is decided by the exchanges with the server before and after: if the wall clock was wrong by the same
amount at both, nobody has set it in between.

Not detectable: a clock set forward and, between the same two exchanges, set back by exactly as much while the phone
slept at least that long.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import accumulate, pairwise
from typing import Annotated

from pydantic import Field

from shopapi.core.schema import Label, Moment, Schema

# The two clocks of a phone are read one after the other, and drift apart by 200 ppm (1 in 5,000) at most.
READ_JITTER_MS, DRIFT_DIVISOR = 1_000, 5_000
# A phone this close to the server is not corrected; an offset of an earlier push is known this well.
KNOWN_WITHIN_MS = 2_500
# An exchange that took longer than 20 seconds measures nothing.
MAX_WITHIN_MS = 10_000
# An old app sends no exchanges: only the arrival of its push is known, and the connection may have been slow.
PUSH_WITHIN_MS = 117_500
# No push takes longer to arrive; one that seems to was stamped by a clock that was set since.
MAX_PUSH_MS = 600_000
# A smaller difference between two possible answers is not worth a person's review.
REVIEW_THRESHOLD_MS = 120_000
# A clock that loses more at once was set by a person; network time corrects by less.
SET_BACK_MS = 30_000
UNIX_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class Contact(Schema):
    """An exchange with the server, as the phone measured it (RFC 5905, section 8).

    When its clocks showed `wall` and `mono_ms`, the server's showed `server`, give or take `within_ms`: half of the
    network time of request and answer. `no` is the number of the next command at that time.
    """

    no: Annotated[int, Field(ge=1, le=2**53 - 1)]
    wall: Moment
    mono_ms: Annotated[int, Field(ge=0, le=2**53 - 1)]
    session: Label
    server: Moment
    within_ms: Annotated[int, Field(ge=0, le=2**53 - 1)]


@dataclass(frozen=True)
class ClockReading:
    """What both clocks of a phone showed at one moment, in milliseconds. Without a session `mono_ms` has no meaning."""

    wall_ms: int
    mono_ms: int = 0
    session: str = ""


@dataclass(frozen=True)
class ReferenceReading(ClockReading):
    """A reading at a moment for which the server's clock is known, give or take `within_ms`."""

    server_ms: int = 0
    within_ms: int = 0


@dataclass(frozen=True)
class ClockOffset:
    """How far a wall clock is ahead of the server's, give or take `within_ms`."""

    ms: int
    within_ms: int = KNOWN_WITHIN_MS


@dataclass(frozen=True)
class SkewEstimate:
    """How far the wall clock was ahead when a command was made.

    `or_skew_ms`: the other possible value, where the clock was set and it is unknown whether before or after.
    """

    skew_ms: int
    or_skew_ms: int | None = None


def measure_offset(sent_ms: int, received_ms: int, answered_ms: int, arrived_ms: int) -> tuple[int, int]:
    """The offset (server's clock minus phone's) and the round-trip delay, in milliseconds (RFC 5905, section 8).

    `sent_ms` and `arrived_ms` by the phone's clock, `received_ms` and `answered_ms` by the server's. Twin: `contactOf`
    in `pwa/src/store/sync/serverContacts.ts`.

    >>> measure_offset(1_000, 7_201_150, 7_201_200, 1_300)
    (7200025, 250)
    """
    theta = ((received_ms - sent_ms) + (answered_ms - arrived_ms)) // 2
    return theta, (arrived_ms - sent_ms) - (answered_ms - received_ms)


def epoch_ms(moment: datetime) -> int:
    return (moment - UNIX_EPOCH) // timedelta(milliseconds=1)


def reference_readings(
    contacts: Iterable[Contact], *, sent_wall: datetime, received_at: datetime
) -> tuple[list[tuple[int, ReferenceReading]], ReferenceReading]:
    """The plausible exchanges, each with the number of the command that came next; and the reading of the push itself.

    An exchange in the server's future, or too slow to measure anything, is left out. The push counts as sent by the
    clock of the last exchange, unless it would then have been sent after it arrived, or long before: in that case the
    clock was set meanwhile, and only the arrival is known.
    """
    received_ms, sent_ms = epoch_ms(received_at), epoch_ms(sent_wall)
    known = [
        (
            each.no,
            ReferenceReading(epoch_ms(each.wall), each.mono_ms, each.session, epoch_ms(each.server), each.within_ms),
        )
        for each in sorted(contacts, key=lambda one: (one.no, one.server))
    ]
    known = [
        (no, one)
        for no, one in known
        if one.within_ms <= MAX_WITHIN_MS and one.server_ms <= received_ms + READ_JITTER_MS
    ]
    if known:
        last = known[-1][1]
        by_last = sent_ms - (last.wall_ms - last.server_ms)
        if -MAX_PUSH_MS <= by_last - received_ms <= last.within_ms + READ_JITTER_MS:
            return known, ReferenceReading(sent_ms, server_ms=by_last, within_ms=last.within_ms)
    return known, ReferenceReading(sent_ms, server_ms=received_ms, within_ms=PUSH_WITHIN_MS)


def estimate_skews(
    known: ClockOffset | None, readings: Sequence[ClockReading]
) -> tuple[list[SkewEstimate], ClockOffset]:
    """How far the clock was ahead at each reading, and at the last reference reading.

    `readings`: those of commands and references, in the order in which they were taken; the last is a reference.
    `known`: the offset before them, None for a phone that never sent anything. Raises ValueError without a last
    reference.
    """
    estimates: list[SkewEstimate] = []
    before: ReferenceReading | None = None
    offset = known
    pending: list[ClockReading] = []
    for reading in readings:
        if not isinstance(reading, ReferenceReading):
            pending.append(reading)
            continue
        after = _offset_at(reading, before, offset or ClockOffset(0))
        estimates += _estimate_between(before, offset or after, pending, reading, after)
        before, offset, pending = reading, after, []
    if offset is None or pending:
        raise ValueError("the last reading must be a reference")
    return estimates, offset


def _offset_at(reference: ReferenceReading, before: ReferenceReading | None, known: ClockOffset) -> ClockOffset:
    """The offset at a reference: what it was before, as long as the measurement allows.

    Two measurements of one clock never agree to the millisecond; that must not change the hours worked.
    """
    measured = reference.wall_ms - reference.server_ms
    possible = [known.ms]
    if before is not None and _is_continuous(before, reference):
        possible.append(known.ms + _wall_gain(before, reference))
    for ms in possible:
        if abs(measured - ms) <= reference.within_ms + min(known.within_ms, MAX_WITHIN_MS) + READ_JITTER_MS // 10:
            return ClockOffset(ms, known.within_ms)
    return ClockOffset(measured, reference.within_ms)


def _is_continuous(one: ClockReading, other: ClockReading) -> bool:
    """Whether the monotonic clock ran from one reading to the other."""
    return one.session == other.session != "" and other.mono_ms >= one.mono_ms - READ_JITTER_MS


def _wall_gain(one: ClockReading, other: ClockReading) -> int:
    """What the wall clock gained on the monotonic one, in milliseconds: sleep, and any setting forward."""
    return (other.wall_ms - one.wall_ms) - (other.mono_ms - one.mono_ms)


@dataclass(frozen=True)
class _Interval:
    """The time from one reading to the next. `max_forward_ms`: the most the wall clock can have been set forward in it.

    `continuous`: the monotonic clock ran through it. `slack_ms`: the measuring error, up to which nothing happened.
    """

    max_forward_ms: float
    continuous: bool
    slack_ms: int

    @property
    def is_quiet(self) -> bool:
        """Whether the phone neither slept nor had its clock set."""
        return self.continuous and abs(self.max_forward_ms) <= self.slack_ms


def _interval(one: ClockReading | None, other: ClockReading) -> _Interval:
    if one is None:
        return _Interval(math.inf, continuous=False, slack_ms=READ_JITTER_MS)
    if not _is_continuous(one, other):
        return _Interval(other.wall_ms - one.wall_ms, continuous=False, slack_ms=READ_JITTER_MS)
    return _Interval(
        _wall_gain(one, other),
        continuous=True,
        slack_ms=READ_JITTER_MS + abs(other.mono_ms - one.mono_ms) // DRIFT_DIVISOR,
    )


def _estimate_between(
    before: ReferenceReading | None,
    first: ClockOffset,
    readings: Sequence[ClockReading],
    after: ReferenceReading,
    last: ClockOffset,
) -> list[SkewEstimate]:
    """How far the clock was ahead at readings between two reference readings, the offsets at which are known."""
    intervals = [_interval(one, other) for one, other in pairwise([before, *readings, after]) if other is not None]
    change = last.ms - first.ms
    slack = READ_JITTER_MS + min(first.within_ms, MAX_WITHIN_MS) + last.within_ms
    # Where it lost time it was set back, by at least as much.
    back = [
        int(interval.max_forward_ms) if interval.max_forward_ms < -interval.slack_ms else 0 for interval in intervals
    ]
    forward = change - sum(back)
    closed = [index for index, interval in enumerate(intervals) if back[index] and not interval.continuous]
    if closed and -REVIEW_THRESHOLD_MS <= forward < slack:
        # How long the app was closed meanwhile is not known: it was set back by that much more.
        back[closed[0]] += forward
        forward = 0
    at = [first.ms + total for total in accumulate(back)][: len(readings)]
    if abs(forward) <= slack:
        return [SkewEstimate(ms) for ms in at]
    if (
        all(interval.continuous for interval in intervals)
        and abs(sum(interval.max_forward_ms for interval in intervals) - change) <= slack
    ):
        # The phone never slept: what the wall clock gained was set.
        gained = accumulate(int(interval.max_forward_ms) for interval in intervals)
        return [SkewEstimate(first.ms + total) for total in list(gained)[: len(readings)]]
    exact = [
        index
        for index, interval in enumerate(intervals)
        if interval.continuous and not back[index] and abs(interval.max_forward_ms - forward) <= slack
    ]
    if len(exact) == 1:
        return [SkewEstimate(ms + (forward if exact[0] <= index else 0)) for index, ms in enumerate(at)]
    # A clock that somebody has set back for sure may hide sleep in the same interval.
    threshold = slack if min(back) < -SET_BACK_MS else REVIEW_THRESHOLD_MS
    return [
        _estimate_undecided(
            intervals[: index + 1], intervals[index + 1 :], ms, forward=forward, ends=(first, last), threshold=threshold
        )
        for index, ms in enumerate(at)
    ]


def _estimate_undecided(
    until: Sequence[_Interval],
    since: Sequence[_Interval],
    ms: int,
    *,
    forward: int,
    ends: tuple[ClockOffset, ClockOffset],
    threshold: int,
) -> SkewEstimate:
    """The estimate at a reading, where it is unknown in which interval the clock was set by `forward` milliseconds.

    `until`, `since`: the intervals before and after the reading; `ms`: its offset if the clock was set afterwards.
    """
    if all(interval.is_quiet for interval in until):
        return SkewEstimate(ends[0].ms)
    if all(interval.is_quiet for interval in since):
        return SkewEstimate(ends[1].ms)
    could_be_after = any(_could_contain(interval, forward) for interval in since)
    could_be_before = any(_could_contain(interval, forward) for interval in until)
    picked, other = (ms + forward, ms) if could_be_before and not could_be_after else (ms, ms + forward)
    return SkewEstimate(picked, other if abs(forward) > threshold else None)


def _could_contain(interval: _Interval, forward: int) -> bool:
    """Whether all of a change of the clock can have been made in an interval."""
    return not interval.is_quiet and interval.max_forward_ms - forward >= -interval.slack_ms
