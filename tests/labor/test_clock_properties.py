"""Random clocks of two devices against the real database: no time counts twice and no entry is lost."""

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shopapi.accounts.rules import NewDevice
from shopapi.accounts.services.devices import register_device
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, Invalid
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.tenancy import in_shop
from shopapi.labor.models import TimeEntry
from shopapi.labor.rules.clock import EntrySpan, anomaly_in, overlap, state_of
from shopapi.labor.rules.entry import EntryState
from shopapi.labor.services.clock import start_clock, stop_clock
from shopapi.labor.services.corrections import correct_entry, drop_entry, settle_entries
from tests.factories import work
from tests.factories.crews import open_crew
from tests.factories.work import do

DAY = now().replace(hour=0, minute=0, second=0, microsecond=0) - timedelta(days=3)
STEPS = st.lists(
    st.tuples(
        st.sampled_from(["start", "start", "switch", "stop", "stop", "correct", "settle", "split", "drop"]),
        st.integers(0, 1),
        st.integers(0, 48),
        st.integers(0, 9),
    ),
    min_size=1,
    max_size=14,
)


class Undone(Exception):
    """Ends the savepoint of one drawn day."""


@pytest.fixture
def phones(db: None) -> tuple[UUID, list[Actor]]:
    crew = open_crew()
    device = register_device(actor=crew.mechanic, data=NewDevice(id=uuid7(), label="Tablet"))
    return work.a_job(crew.owner), [crew.mechanic, replace(crew.mechanic, device_id=device.id)]


@settings(
    max_examples=40,
    deadline=None,
    database=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(steps=STEPS)
def test_no_time_is_taken_twice_and_nothing_is_lost(
    phones: tuple[UUID, list[Actor]], steps: list[tuple[str, int, int, int]]
) -> None:
    job, actors = phones
    with suppress(Undone), transaction.atomic():
        facts: dict[UUID, list[datetime]] = {}
        for what, who, half_hours, pick in steps:
            at = DAY + timedelta(minutes=30 * half_hours)
            with in_shop(actors[0].shop_id):
                known = list(TimeEntry.objects.order_by("created_at", "id"))
            with suppress(Invalid, Conflict):
                carry(what, actors[who], job=job, at=at, known=known, pick=pick, facts=facts)
            check(actors[0], facts)
        raise Undone


def carry(
    what: str,
    actor: Actor,
    *,
    job: UUID,
    at: datetime,
    known: list[TimeEntry],
    pick: int,
    facts: dict[UUID, list[datetime]],
) -> None:
    """One step. Only corrections and settlements may be refused: a start and a stop have happened."""
    if what in ("start", "switch"):
        running = [one.id for one in known if one.ended_at is None and one.state != EntryState.REPLACED]
        args = {"kind": "repair", "job_id": job, "started_at": at, "ends_ids": running if what == "switch" else []}
        entry = kept(lambda: do(actor, start_clock, id=uuid4(), **args))
        facts[entry.id] = [at]
        return
    if not known:
        return
    chosen, other = known[pick % len(known)], known[(pick + 1) % len(known)]
    if what == "stop":
        kept(lambda: do(actor, stop_clock, id=chosen.id, ended_at=at))
    elif what == "correct":
        span = {"started_at": at, "ended_at": at + timedelta(hours=1)}
        do(actor, correct_entry, id=uuid4(), entry_id=chosen.id, kind="repair", job_id=job, reason="Corrected", **span)
    elif what == "drop":
        do(actor, drop_entry, id=chosen.id, reason="A slip")
    else:
        split = {"at": at, "id": uuid4(), "other_id": uuid4()} if what == "split" else None
        do(actor, settle_entries, id=chosen.id, other_id=other.id, split=split)


def kept(fact: Callable[[], Any]) -> Any:
    """Raise unless a fact was accepted."""
    try:
        return fact()
    except (Invalid, Conflict) as error:
        raise AssertionError(error.code) from error


def check(actor: Actor, facts: dict[UUID, list[datetime]]) -> None:
    """The oracle: states follow from the spans alone, stamps do not change, and each dispute has an issue."""
    with in_shop(actor.shop_id):
        entries = list(TimeEntry.objects.all())
        issues = set(Issue.objects.filter(state="open").values_list("entity_id", flat=True))
    spans = {one.id: EntrySpan(one.id, one.started_at, one.ended_at, one.anomaly) for one in entries}
    live = [spans[one.id] for one in entries if one.state != EntryState.REPLACED]
    for one in entries:
        if one.state != EntryState.REPLACED:
            assert one.state == state_of(spans[one.id], live)
    settled_entries = [spans[one.id] for one in entries if one.state in (EntryState.OPEN, EntryState.CLOSED)]
    assert not any(overlap(one, other) for one, other in pairs(settled_entries))
    disputed = {one.id for one in entries if one.state == EntryState.DISPUTED}
    assert issues <= disputed
    for entry_id in disputed:
        beside = {span.id for span in live if span.id != entry_id and overlap(spans[entry_id], span)}
        assert issues & (beside | {entry_id})
    by_id = {one.id: one for one in entries}
    for entry_id, (started_at,) in facts.items():
        assert by_id[entry_id].device_started_at == started_at
    for one in entries:
        assert one.corrects_id is None or by_id[one.corrects_id].state == EntryState.REPLACED


def pairs(spans: list[EntrySpan]) -> Iterator[tuple[EntrySpan, EntrySpan]]:
    return ((one, other) for count, one in enumerate(spans) for other in spans[count + 1 :])


HOURS = st.integers(0, 60).map(lambda hours: DAY + timedelta(hours=hours))


@given(first=st.tuples(HOURS, st.none() | HOURS), second=st.tuples(HOURS, st.none() | HOURS))
def test_two_spans_overlap_as_their_hours_do(
    first: tuple[datetime, datetime | None], second: tuple[datetime, datetime | None]
) -> None:
    """Compared by counting hours, with running spans cut after the last random hour."""
    far = DAY + timedelta(hours=100)

    def hours(span: tuple[datetime, datetime | None]) -> set[int]:
        start, end = span
        length = ((end or far) - start) // timedelta(hours=1)
        return {(start - DAY) // timedelta(hours=1) + count for count in range(length)}

    for start, end in (first, second):
        if end is not None and anomaly_in(start, end, far) == "ends_first":
            return
    one, other = EntrySpan(UUID(int=1), *first), EntrySpan(UUID(int=2), *second)
    assert overlap(one, other) == overlap(other, one) == bool(hours(first) & hours(second))


@pytest.mark.parametrize(
    ("start", "end", "hours"),
    [
        # America/New_York, 22:00 to 06:00 over the nights in which clocks change (IANA zone rules).
        (datetime(2026, 3, 8, 3, tzinfo=UTC), datetime(2026, 3, 8, 10, tzinfo=UTC), 7),
        (datetime(2026, 11, 1, 2, tzinfo=UTC), datetime(2026, 11, 1, 11, tzinfo=UTC), 9),
    ],
)
def test_a_night_shift_is_as_long_as_it_was(start: datetime, end: datetime, hours: int) -> None:
    assert end - start == timedelta(hours=hours)
    assert anomaly_in(start, end, end) is None
