"""Estimates of how far a phone's clock was ahead, from its two clocks and its exchanges. Pure.

Outside check: the offset and delay of RFC 5905, section 8, "On-Wire Protocol":
theta = ((T2 - T1) + (T3 - T4)) / 2 and delta = (T4 - T1) - (T3 - T2).
"""

from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from shopapi.sync.rules.clocks import (
    KNOWN_WITHIN_MS,
    MAX_WITHIN_MS,
    REVIEW_THRESHOLD_MS,
    ClockOffset,
    ClockReading,
    ReferenceReading,
    SkewEstimate,
    estimate_skews,
    measure_offset,
)
from tests.sync.simulated_clock import HOUR, MINUTE, SECOND, SimulatedClock

NOON = 1_780_000_000_000
DAY = 24 * HOUR


def test_offset_and_delay_match_ntp() -> None:
    """Worked by the formulas of RFC 5905: T1 = 10.000 s, T2 = 130.150, T3 = 250.150, T4 = 130.200.

    theta = ((130.150 - 10.000) + (250.150 - 130.200)) / 2 = (120.150 + 119.950) / 2 = 120.050 s
    delta = (130.200 - 10.000) - (250.150 - 130.150) = 120.200 - 120.000 = 0.200 s
    """
    assert measure_offset(10_000, 130_150, 250_150, 130_200) == (120_050, 200)


@given(
    ahead=st.integers(-4 * DAY, 4 * DAY),
    out=st.integers(0, 5 * SECOND),
    back=st.integers(0, 5 * SECOND),
    work=st.integers(0, 2 * MINUTE),
)
def test_offset_error_is_at_most_half_the_delay(ahead: int, out: int, back: int, work: int) -> None:
    """RFC 5905, section 8: the true offset is within half the delay, however asymmetric the network is."""
    clocks = SimulatedClock(NOON, ahead_ms=ahead)
    met = clocks.record_contact(out, back, work)
    assert abs(met.server_ms - clocks.true_ms) <= met.within_ms <= (out + back) / 2 + 1


ReadingHistory = Callable[[SimulatedClock], list[ClockReading]]


def estimate_history(story: ReadingHistory, known: int = 0, ahead: int = 0) -> tuple[list[SkewEstimate], list[int]]:
    """The estimates for the readings of a history, and the minutes between each two of them as booked."""
    witnesses = story(SimulatedClock(NOON, ahead_ms=ahead))
    judged, _ = estimate_skews(ClockOffset(known), witnesses)
    made = [one for one in witnesses if not isinstance(one, ReferenceReading)]
    at = [reading.wall_ms - found.skew_ms for reading, found in zip(made, judged, strict=True)]
    return judged, [round((later - earlier) / MINUTE) for earlier, later in pairwise(at)]


def behind_at_start_then_corrected(clocks: SimulatedClock) -> list[ClockReading]:
    first = clocks.record_contact()
    clocks.run(5 * MINUTE)
    start = clocks.reading()
    clocks.run(10 * MINUTE)
    clocks.adjust(-clocks.ahead_ms)
    clocks.run(20 * MINUTE)
    stop = clocks.reading()
    clocks.run(SECOND)
    return [first, start, stop, clocks.record_contact()]


def wrong_at_both_and_corrected_before_push(clocks: SimulatedClock) -> list[ClockReading]:
    first = clocks.record_contact()
    start = clocks.reading()
    clocks.run(30 * MINUTE)
    stop = clocks.reading()
    clocks.adjust(-clocks.ahead_ms)
    return [first, start, stop, clocks.record_contact()]


def corrected_in_the_middle_of_a_queue(clocks: SimulatedClock) -> list[ClockReading]:
    """Three pairs offline; the clock is corrected during the second."""
    witnesses: list[ClockReading] = [clocks.record_contact()]
    for pair in range(3):
        witnesses.append(clocks.reading())
        clocks.run(15 * MINUTE)
        if pair == 1:
            clocks.adjust(-clocks.ahead_ms)
        clocks.run(15 * MINUTE)
        witnesses.append(clocks.reading())
        clocks.run(30 * MINUTE)
    return [*witnesses, clocks.record_contact()]


@pytest.mark.parametrize("ahead", [-2 * HOUR, 20 * MINUTE, 3 * DAY, -3 * DAY, 90 * SECOND])
@pytest.mark.parametrize(
    ("story", "minutes"),
    [
        (behind_at_start_then_corrected, [30]),
        (wrong_at_both_and_corrected_before_push, [30]),
        (corrected_in_the_middle_of_a_queue, [30] * 5),
    ],
)
def test_clock_corrected_while_the_app_is_open_gives_true_times(
    story: ReadingHistory, minutes: list[int], ahead: int
) -> None:
    judged, booked = estimate_history(story, known=ahead, ahead=ahead)
    assert booked == minutes
    assert [one.or_skew_ms for one in judged] == [None] * len(judged)
    assert abs(judged[0].skew_ms - ahead) <= 1_000


def test_sleep_is_not_taken_for_a_clock_set_forward() -> None:
    def story(clocks: SimulatedClock) -> list[ClockReading]:
        first = clocks.record_contact()
        clocks.sleep(25 * MINUTE)
        start = clocks.reading()
        clocks.run(5 * MINUTE)
        clocks.sleep(40 * MINUTE)
        stop = clocks.reading()
        return [first, start, stop, clocks.record_contact()]

    assert estimate_history(story) == ([SkewEstimate(0), SkewEstimate(0)], [45])


def slept_and_set(clocks: SimulatedClock) -> list[ClockReading]:
    """The monotonic clock stood still for 40 minutes and the wall clock was set by two hours, with no exchange."""
    first = clocks.record_contact()
    clocks.run(MINUTE)
    clocks.sleep(30 * MINUTE)
    start = clocks.reading()
    clocks.sleep(40 * MINUTE)
    clocks.adjust(2 * HOUR)
    stop = clocks.reading()
    clocks.run(SECOND)
    return [first, start, stop, clocks.record_contact()]


def test_ambiguous_skew_gives_both_values() -> None:
    """The start lies between two sleeps: the clock may have been set in either."""
    (start, stop), _ = estimate_history(slept_and_set, known=-2 * HOUR, ahead=-2 * HOUR)
    assert stop == SkewEstimate(0) or abs(stop.skew_ms) < SECOND
    assert start.or_skew_ms is not None
    assert sorted(round(ms / HOUR) for ms in (start.skew_ms, start.or_skew_ms)) == [-2, 0]


def test_contacts_join_two_sessions() -> None:
    def story(clocks: SimulatedClock) -> list[ClockReading]:
        first = clocks.record_contact()
        start = clocks.reading()
        clocks.run(10 * MINUTE)
        clocks.reload()
        clocks.adjust(2 * HOUR)
        clocks.run(20 * MINUTE)
        stop = clocks.reading()
        clocks.run(SECOND)
        return [first, start, stop, clocks.record_contact()]

    judged, booked = estimate_history(story, known=-2 * HOUR, ahead=-2 * HOUR)
    assert (booked, [one.or_skew_ms for one in judged]) == ([30], [None, None])


def test_without_contacts_two_minutes_are_within_tolerance() -> None:
    """Only the arrival of its push is known, not how long it took."""
    for late, skew in ((110 * SECOND, 0), (-110 * SECOND, 0), (-2 * HOUR, 2 * HOUR)):
        readings = [
            ClockReading(NOON - HOUR),
            ClockReading(NOON - MINUTE),
            ReferenceReading(NOON, server_ms=NOON + late, within_ms=117_500),
        ]
        judged, _ = estimate_skews(None, readings)
        assert judged == [SkewEstimate(skew), SkewEstimate(skew)]


# Random histories

STEP = st.one_of(
    st.tuples(st.just("run"), st.integers(1, 90)),
    st.tuples(st.just("sleep"), st.integers(1, 240)),
    st.tuples(st.just("reload"), st.just(0)),
    st.tuples(st.just("meet"), st.integers(0, 2**30)),
    st.tuples(st.just("tap"), st.just(0)),
)
# Settings are in half minutes and sleeps in whole ones, so that they are never equal.
SET = st.tuples(st.just("set"), st.one_of(st.integers(-5_000, -3), st.integers(3, 5_000)))
JITTER = 5 * SECOND


def random_history(steps: list[tuple[str, int]], ahead: int) -> tuple[list[ClockReading], list[int], bool]:
    """The readings of a history, the true times of its taps, and whether another history has the same readings.

    That is so where the clock was set more than once between two exchanges, and one of these was back while the phone
    slept or the app was closed for as long, or all of them come to what the phone slept. All that come to two minutes
    or less are not asked about either.
    """
    clocks = SimulatedClock(NOON, ahead_ms=ahead)
    witnesses: list[ClockReading] = [clocks.record_contact()]
    taps: list[int] = []
    hidden = masked = False
    sets = slept = moved = net = 0
    for kind, amount in [*steps, ("run", 1), ("meet", 0)]:
        clocks.run(SECOND)
        if kind == "run":
            clocks.run(amount * MINUTE)
        elif kind == "sleep":
            clocks.sleep(amount * MINUTE)
            slept += amount * MINUTE
        elif kind == "reload":
            clocks.reload()
            slept = 40 * DAY
        elif kind == "set":
            clocks.adjust(amount * MINUTE + 30 * SECOND)
            moved += amount * MINUTE + 30 * SECOND
            net += amount * MINUTE + 30 * SECOND
            sets += 1
        else:
            masked = masked or (moved < 0 <= slept + moved)
            slept = moved = 0
            if kind == "tap":
                taps.append(clocks.true_ms)
                witnesses.append(clocks.reading())
            else:
                witnesses.append(clocks.record_contact(amount % JITTER, amount // JITTER % JITTER))
                like_sleep = min(net % MINUTE, -net % MINUTE) <= 10 * SECOND
                small = sets > 0 and abs(net) <= REVIEW_THRESHOLD_MS
                hidden = hidden or small or (sets > 1 and (masked or like_sleep))
                masked, sets, net = False, 0, 0
    return witnesses, taps, hidden


@settings(max_examples=400, deadline=None)
@given(st.lists(STEP, max_size=14), st.integers(-4 * DAY, 4 * DAY))
def test_untouched_clock_gives_exact_durations_without_review(steps: list[tuple[str, int]], ahead: int) -> None:
    """Sleep, reloads and responses up to ten seconds late, at any constant error: no false alarm, no second lost."""
    witnesses, taps, _ = random_history(steps, ahead)
    judged, _ = estimate_skews(None, witnesses)
    made = [one for one in witnesses if not isinstance(one, ReferenceReading)]
    assert [one.or_skew_ms for one in judged] == [None] * len(taps)
    booked = [reading.wall_ms - found.skew_ms for reading, found in zip(made, judged, strict=True)]
    assert [later - earlier for earlier, later in pairwise(booked)] == [
        later - earlier for earlier, later in pairwise(taps)
    ]


@settings(max_examples=1_500, deadline=None)
@given(st.lists(st.one_of(STEP, SET), max_size=14), st.integers(-4 * DAY, 4 * DAY))
def test_duration_is_right_or_needs_review(steps: list[tuple[str, int]], ahead: int) -> None:
    """Within the network time of the exchanges and the tolerance of an uncorrected phone."""
    witnesses, taps, hidden = random_history(steps, ahead)
    assume(not hidden)
    judged, _ = estimate_skews(None, witnesses)
    made = [one for one in witnesses if not isinstance(one, ReferenceReading)]
    slack = 2 * max(one.within_ms for one in witnesses if isinstance(one, ReferenceReading)) + SECOND + KNOWN_WITHIN_MS
    assert slack <= MAX_WITHIN_MS + 4 * SECOND
    pairs = list(zip(made, judged, taps, strict=True))
    for (one, first, began), (other, second, ended) in pairwise(pairs):
        if first.or_skew_ms is not None or second.or_skew_ms is not None:
            continue
        booked = (other.wall_ms - second.skew_ms) - (one.wall_ms - first.skew_ms)
        assert abs(booked - (ended - began)) <= slack


@settings(max_examples=400, deadline=None)
@given(
    st.lists(st.one_of(STEP, SET).filter(lambda step: step[0] not in ("sleep", "reload")), max_size=14),
    st.integers(-4 * DAY, 4 * DAY),
)
def test_duration_is_exact_while_app_is_open_and_awake(steps: list[tuple[str, int]], ahead: int) -> None:
    """However often the clock is set: the monotonic clock ran, so nothing needs review."""
    witnesses, taps, _ = random_history(steps, ahead)
    judged, _ = estimate_skews(None, witnesses)
    assert [one.or_skew_ms for one in judged] == [None] * len(taps)
    made = [one for one in witnesses if not isinstance(one, ReferenceReading)]
    booked = [reading.wall_ms - found.skew_ms for reading, found in zip(made, judged, strict=True)]
    for first, second in pairwise(zip(booked, taps, strict=True)):
        assert abs((second[0] - first[0]) - (second[1] - first[1])) <= SECOND
