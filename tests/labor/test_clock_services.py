"""Clocks of phones: switches, overlaps, late arrival, wrong clocks, corrections."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import IntegrityError, transaction

from shopapi.accounts.rules import NewDevice
from shopapi.accounts.services.devices import register_device
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.errors import Conflict, Forbidden, Invalid, NotFound
from shopapi.core.ids import uuid7
from shopapi.core.models import Issue
from shopapi.core.tenancy import in_shop
from shopapi.labor import queries
from shopapi.labor.models import TimeEntry
from shopapi.labor.services.clock import stop_clock
from shopapi.labor.services.corrections import add_entry, correct_entry, drop_entry, settle_entries
from tests.factories import work
from tests.factories.crews import Crew, member_of, open_crew
from tests.factories.work import do

# A day that is over, in UTC.
DAY = now().replace(hour=0, minute=0, second=0, microsecond=0) - timedelta(days=2)


def at(hours: float) -> datetime:
    return DAY + timedelta(hours=hours)


@pytest.fixture
def crew(db: None) -> Crew:
    return open_crew()


@pytest.fixture
def job(crew: Crew) -> UUID:
    return work.a_job(crew.owner)


@pytest.fixture
def second(crew: Crew) -> Actor:
    """The mechanic's other phone."""
    device = register_device(actor=crew.mechanic, data=NewDevice(id=uuid7(), label="Tablet"))
    return replace(crew.mechanic, device_id=device.id)


def start(actor: Actor, job: UUID | None, hours: float, **more: object) -> UUID:
    return work.a_clock(actor, job, started_at=at(hours), **more)


def stop(actor: Actor, entry_id: UUID, hours: float) -> None:
    do(actor, stop_clock, id=entry_id, ended_at=at(hours))


def entries(crew: Crew) -> dict[UUID, tuple[str, float, float | None]]:
    """Each entry with its state, and its span in hours of the day."""
    with in_shop(crew.shop_id):
        return {
            entry.id: (
                entry.state,
                (entry.started_at - DAY) / timedelta(hours=1),
                None if entry.ended_at is None else (entry.ended_at - DAY) / timedelta(hours=1),
            )
            for entry in TimeEntry.objects.all()
        }


def open_issues(crew: Crew) -> list[UUID | None]:
    with in_shop(crew.shop_id):
        found = Issue.objects.filter(entity_kind="time_entry", state="open")
        return list(found.order_by("id").values_list("entity_id", flat=True))


def test_a_start_is_a_switch(crew: Crew, job: UUID) -> None:
    first = start(crew.mechanic, job, 9)
    second = start(crew.mechanic, None, 10.5, kind="errand")
    assert entries(crew) == {first: ("closed", 9, 10.5), second: ("open", 10.5, None)}
    stop(crew.mechanic, second, 11)
    assert entries(crew)[second] == ("closed", 10.5, 11)
    assert open_issues(crew) == []


def test_a_switch_on_another_phone_that_shows_the_clock_ends_it(crew: Crew, second: Actor, job: UUID) -> None:
    first = start(crew.mechanic, job, 9)
    other = start(second, job, 10, ends_ids=[first])
    assert entries(crew) == {first: ("closed", 9, 10), other: ("open", 10, None)}


def test_clocks_that_did_not_know_of_each_other_are_both_kept_and_in_dispute(
    crew: Crew, second: Actor, job: UUID
) -> None:
    first = start(crew.mechanic, job, 9)
    other = start(second, job, 10)
    assert entries(crew) == {first: ("disputed", 9, None), other: ("disputed", 10, None)}
    assert len(open_issues(crew)) == 1
    stop(second, other, 11)
    stop(crew.mechanic, first, 12)
    assert entries(crew) == {first: ("disputed", 9, 12), other: ("disputed", 10, 11)}
    do(crew.mechanic, settle_entries, id=first, other_id=other, reason="I forgot the tablet")
    assert entries(crew) == {first: ("closed", 9, 12), other: ("replaced", 10, 11)}
    assert open_issues(crew) == []


def test_as_it_stands_settles_an_anomaly_and_never_a_collision(crew: Crew, second: Actor, job: UUID) -> None:
    first, other = start(crew.mechanic, job, 9), start(second, job, 10)
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, settle_entries, id=first)
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [("other_id", "other_needed")]
    assert refused.value.reason.context == {"entry_id": str(other)}
    assert len(open_issues(crew)) == 1
    do(crew.mechanic, settle_entries, id=first, other_id=other)
    stop(crew.mechanic, first, 40)
    assert entries(crew)[first] == ("disputed", 9, 40)
    do(crew.mechanic, settle_entries, id=first)
    assert entries(crew)[first] == ("closed", 9, 40)
    assert open_issues(crew) == []


def test_a_dispute_is_split_at_a_time(crew: Crew, second: Actor, job: UUID) -> None:
    first, other = start(crew.mechanic, job, 9), start(second, job, 10)
    stop(second, other, 12)
    stop(crew.mechanic, first, 11)
    made = [uuid7(), uuid7()]
    outside = {"at": at(8), "id": made[0], "other_id": made[1]}
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, settle_entries, id=other, other_id=first, split=outside)
    assert refused.value.fields[0].field == "split.at"
    do(crew.mechanic, settle_entries, id=other, other_id=first, split={**outside, "at": at(10.5)})
    found = entries(crew)
    assert (found[first][0], found[other][0]) == ("replaced", "replaced")
    assert (found[made[1]], found[made[0]]) == (("closed", 9, 10.5), ("closed", 10.5, 12))
    with in_shop(crew.shop_id):
        later = TimeEntry.objects.get(id=made[0])
        assert (later.corrects_id, later.device_started_at, later.device_ended_at) == (other, None, at(12))


def test_a_phone_offline_for_days_brings_start_and_stop_beside_what_ran_meanwhile(
    crew: Crew, second: Actor, job: UUID
) -> None:
    today = start(crew.mechanic, job, 30)
    late = start(second, job, 9)
    stop(second, late, 17)
    assert entries(crew) == {today: ("open", 30, None), late: ("closed", 9, 17)}
    assert open_issues(crew) == []


def test_two_ends_of_one_clock_are_both_kept(crew: Crew, second: Actor, job: UUID) -> None:
    entry = start(crew.mechanic, job, 9)
    stop(crew.mechanic, entry, 10)
    stop(second, entry, 10.01)
    assert entries(crew) == {entry: ("closed", 9, 10)}
    stop(second, entry, 11)
    assert sorted(entries(crew).values()) == [("disputed", 9, 10), ("disputed", 9, 11)]
    assert len(open_issues(crew)) == 1


def test_a_wrong_clock_is_put_right_by_what_was_measured(crew: Crew, job: UUID) -> None:
    """The whole offset is applied; small ones are ignored where offsets are measured."""
    ahead = replace(crew.mechanic, skew_ms=3 * 3_600_000)
    entry = start(ahead, job, 12)
    stop(replace(crew.mechanic, skew_ms=90_000), entry, 10)
    with in_shop(crew.shop_id):
        row = TimeEntry.objects.get(id=entry)
        assert (row.started_at, row.device_started_at, row.start_skew_ms) == (at(9), at(12), 3 * 3_600_000)
        assert (row.ended_at, row.device_ended_at, row.end_skew_ms) == (at(9.975), at(10), 90_000)


def test_a_correction_that_leaves_a_stamp_as_the_phone_has_it_leaves_its_repair(crew: Crew, job: UUID) -> None:
    """The phone made both without a signal, so it sends the uncorrected stamp and does not know of its correction."""
    ahead = replace(crew.mechanic, skew_ms=3 * 3_600_000)
    entry, goes_on = start(ahead, job, 12), uuid7()
    stop(ahead, entry, 13)
    correction = {"kind": "repair", "job_id": job, "started_at": at(12), "reason": "Taken back at once"}
    do(ahead, correct_entry, id=goes_on, entry_id=entry, ended_at=None, **correction)
    assert entries(crew)[goes_on] == ("open", 9, None)
    stop(ahead, goes_on, 14)
    corrected = uuid7()
    do(ahead, correct_entry, id=corrected, entry_id=goes_on, ended_at=at(14), **correction)
    assert entries(crew)[corrected] == ("closed", 9, 11)
    with in_shop(crew.shop_id):
        row = TimeEntry.objects.get(id=corrected)
        assert (row.device_started_at, row.start_skew_ms, row.end_skew_ms) == (at(12), 3 * 3_600_000, 3 * 3_600_000)


@pytest.mark.parametrize(
    ("ended", "anomaly"), [(8.0, "ends_first"), (9.0, "ends_first"), (39.0, "too_long"), (100.0, "in_future")]
)
def test_a_stop_that_cannot_be_is_kept_and_asked_about(crew: Crew, job: UUID, ended: float, anomaly: str) -> None:
    entry = start(crew.mechanic, job, 9)
    stop(crew.mechanic, entry, ended)
    with in_shop(crew.shop_id):
        row = TimeEntry.objects.get(id=entry)
        assert (row.state, row.anomaly, row.device_ended_at) == ("disputed", anomaly, at(ended))
    assert open_issues(crew) == [entry]
    # The next clock is not held up by it, and the guided fix settles it.
    corrected = uuid7()
    correction = {"started_at": at(9), "ended_at": at(10), "kind": "repair", "job_id": job, "reason": "Clock was set"}
    do(crew.mechanic, correct_entry, id=corrected, entry_id=entry, **correction)
    assert entries(crew)[corrected] == ("closed", 9, 10)
    assert entries(crew)[entry][0] == "replaced"
    assert open_issues(crew) == []


def test_what_is_written_by_hand_must_be_able_to_be(crew: Crew, job: UUID) -> None:
    start(crew.mechanic, job, 9)
    base = {"kind": "repair", "job_id": job, "reason": "Forgot the clock"}
    faults: dict[tuple[str, str], dict[str, Any]] = {
        ("ended_at", "ends_first"): {"started_at": at(5), "ended_at": at(4)},
        ("ended_at", "too_long"): {"started_at": at(-30), "ended_at": at(0)},
        ("started_at", "in_future"): {"started_at": at(100), "ended_at": at(101)},
        ("started_at", "time_taken"): {"started_at": at(8), "ended_at": at(9.5)},
        ("job_id", "job_needed"): {"started_at": at(5), "ended_at": at(6), "job_id": None},
        ("cause", "cause_needed"): {"started_at": at(5), "ended_at": at(6), "kind": "rework"},
        ("cause", "not_rework"): {"started_at": at(5), "ended_at": at(6), "cause": "torque"},
        ("job_id", "no_job"): {"started_at": at(5), "ended_at": at(6), "kind": "shop"},
    }
    for (field, code), times in faults.items():
        with pytest.raises((Invalid, Conflict)) as refused:
            do(crew.mechanic, add_entry, id=uuid7(), **{**base, **times})
        assert [(fault.field, fault.code) for fault in refused.value.fields] == [(field, code)]
    added = do(crew.mechanic, add_entry, id=uuid7(), **base, started_at=at(8), ended_at=at(9)).id
    assert entries(crew)[added] == ("closed", 8, 9)


def test_a_job_of_another_shop_is_unknown(crew: Crew) -> None:
    foreign = work.a_job(open_crew("Other Yard").owner)
    with pytest.raises(NotFound) as refused:
        start(crew.mechanic, foreign, 9)
    assert refused.value.fields[0].field == "job_id"


def test_a_mechanic_mends_their_own_time_and_the_office_anybodys(crew: Crew, job: UUID) -> None:
    own = start(crew.mechanic, job, 9)
    errand = start(crew.office, None, 9, kind="errand")
    on_job = start(crew.owner, job, 9)
    with in_shop(crew.shop_id):
        seen = set(queries.time_entries(crew.mechanic).values_list("id", flat=True))
    assert seen == {own, on_job}
    with pytest.raises(NotFound):
        do(crew.mechanic, drop_entry, id=errand, reason="Not mine")
    with pytest.raises(Forbidden):
        do(crew.mechanic, drop_entry, id=on_job, reason="Not mine")
    with pytest.raises(Forbidden):
        do(crew.mechanic, stop_clock, id=on_job, ended_at=at(10))
    do(crew.office, drop_entry, id=own, reason="Rang in sick")
    assert entries(crew)[own][0] == "replaced"
    with pytest.raises(Conflict) as refused:
        do(crew.office, drop_entry, id=own, reason="Again")
    assert refused.value.code == "entry_replaced"


def test_a_stop_meant_for_an_entry_that_was_put_right_ends_the_one_in_its_place(crew: Crew, job: UUID) -> None:
    old = start(crew.mechanic, job, 9)
    new = uuid7()
    right = {"started_at": at(8), "ended_at": None, "kind": "repair", "job_id": job, "reason": "Began earlier"}
    do(crew.office, correct_entry, id=new, entry_id=old, **right)
    stop(crew.mechanic, old, 11)
    assert entries(crew) == {old: ("replaced", 9, None), new: ("closed", 8, 11)}


def test_what_is_taken_out_keeps_why_it_was_put_right(crew: Crew, job: UUID) -> None:
    old, new = start(crew.mechanic, job, 9), uuid7()
    right = {"started_at": at(8), "ended_at": at(9), "kind": "repair", "job_id": job, "reason": "Began earlier"}
    do(crew.mechanic, correct_entry, id=new, entry_id=old, **right)
    do(crew.office, drop_entry, id=new, reason="Was at the bank")
    plain = start(crew.mechanic, job, 12)
    do(crew.mechanic, drop_entry, id=plain, reason="A slip")
    with in_shop(crew.shop_id):
        assert TimeEntry.objects.get(id=new).reason == "Began earlier; taken out: Was at the bank"
        assert TimeEntry.objects.get(id=plain).reason == "A slip"


def test_rework_is_counted_with_its_cause_and_what_it_repairs(crew: Crew, job: UUID) -> None:
    first = start(crew.mechanic, job, 9)
    again = start(crew.mechanic, job, 10, kind="rework", cause="torque", repairs_id=first)
    with in_shop(crew.shop_id):
        row = TimeEntry.objects.get(id=again)
        assert (row.cause, row.repairs_id) == ("torque", first)


def test_an_end_that_nobody_put_right_brings_in_nothing_of_the_year_since(crew: Crew, job: UUID) -> None:
    unsettled = start(crew.mechanic, job, 0)
    stop(crew.mechanic, unsettled, -1)
    for hour in range(1, 6):
        stop(crew.mechanic, start(crew.mechanic, job, hour), hour + 0.5)
    with in_shop(crew.shop_id):
        spans = [queries.span_of(entry) for entry in TimeEntry.objects.filter(started_at__gte=at(4.9))]
        spans.append(queries.span_of(TimeEntry.objects.get(id=unsettled)))
        near = queries.overlapping_entries(crew.mechanic, member_of(crew.mechanic), spans)
        assert [entry.started_at for entry in near] == [at(5)]
    assert entries(crew)[unsettled][0] == "disputed"


def test_clocks_left_running_are_found(crew: Crew, job: UUID) -> None:
    entry = start(crew.mechanic, job, 9)
    with in_shop(crew.shop_id):
        assert [one.id for one in queries.long_running(crew.owner, at(10))] == [entry]
        assert not queries.long_running(crew.owner, at(9)).exists()


@pytest.mark.parametrize("way", ["overlap", "second running", "empty"])
def test_the_database_itself_takes_no_time_twice(crew: Crew, job: UUID, way: str) -> None:
    entry = start(crew.mechanic, job, 9)
    if way == "overlap":
        stop(crew.mechanic, entry, 12)
    spans = {"overlap": (11, 13, "closed"), "second running": (10, None, "open"), "empty": (20, 20, "closed")}
    begins, ends, state = spans[way]
    with pytest.raises(IntegrityError), in_shop(crew.shop_id), transaction.atomic():
        TimeEntry.objects.create(
            shop_id=crew.shop_id,
            member_id=member_of(crew.mechanic),
            job_id=job,
            kind="repair",
            started_at=at(begins),
            ended_at=None if ends is None else at(ends),
            state=state,
        )


def test_two_entries_that_share_no_moment_are_in_no_dispute(crew: Crew, job: UUID) -> None:
    first = start(crew.mechanic, job, 9)
    second = start(crew.mechanic, job, 10)
    with pytest.raises(Invalid) as refused:
        do(crew.mechanic, settle_entries, id=first, other_id=second)
    assert [(fault.field, fault.code) for fault in refused.value.fields] == [("other_id", "not_in_dispute")]
    assert entries(crew) == {first: ("closed", 9, 10), second: ("open", 10, None)}
