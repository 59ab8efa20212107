"""Clock starts and stops from any device, applied in any order."""

from collections.abc import Sequence
from datetime import datetime

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import refuse_faults
from shopapi.core.rows import refuse_known_id
from shopapi.labor import queries
from shopapi.labor.models import TimeEntry
from shopapi.labor.rules.clock import anomaly_in, ends_alike
from shopapi.labor.rules.entry import (
    ClockedElsewhere,
    ClockStart,
    ClockStop,
    EntryAnomaly,
    EntryState,
    faults_of,
)
from shopapi.labor.services.disputes import recompute_states
from shopapi.labor.services.entry_checks import checked_work, member_for, own_entry


@command(needs=Permission.CLOCK, fact=True, creates_row=True)
def start_clock(*, actor: Actor, data: ClockStart) -> TimeEntry:
    """Start a clock; entries that ran on this device, or that it showed as running, end at that moment.

    An entry on another device that this one did not know of keeps running, and the two are in dispute.
    """
    refuse_known_id(TimeEntry, data.id)
    work = checked_work(actor, data)
    member_id = member_for(actor, None)
    started_at = actor.instant_of(data.started_at)
    named = {_living(one).id for one in queries.entries_by_id(actor, member_id, data.ends_ids)}
    ended = []
    for before in queries.running(actor, member_id).select_for_update():
        own = before.device_id == actor.device_id and before.started_at < started_at
        if own or before.id in named:
            _end(actor, before, data.started_at)
            ended.append(before)
    entry = TimeEntry(
        id=data.id,
        shop_id=actor.shop_id,
        member_id=member_id,
        device_id=actor.device_id,
        started_at=started_at,
        device_started_at=data.started_at,
        start_skew_ms=actor.skew_ms,
        anomaly=anomaly_in(started_at, None, now()) or "",
        **work,
    )
    _mark_clock_anomaly(actor, entry)
    recompute_states(actor, entry, *ended, fresh=[entry])
    record(actor, "clock started", ("time_entry", entry.id), kind=data.kind, ended=[one.id for one in ended])
    return entry


@command(needs=Permission.CLOCK, fact=True, rest_name="stop")
def stop_clock(*, actor: Actor, data: ClockStop) -> TimeEntry:
    """Stop a clock. If it has already ended at another moment, both ends are kept and are in dispute."""
    entry = _living(own_entry(actor, data.id))
    ended_at = actor.instant_of(data.ended_at)
    if entry.state == EntryState.REPLACED:
        record(actor, "dropped clock stopped", ("time_entry", entry.id), ended_at=ended_at)
    elif entry.ended_at is None and entry.anomaly != EntryAnomaly.ENDS_FIRST:
        _end(actor, entry, data.ended_at)
        recompute_states(actor, entry)
        record(actor, "clock stopped", ("time_entry", entry.id), ended_at=ended_at)
    else:
        if not ends_alike(entry.ended_at, ended_at) and ended_at > entry.started_at:
            _keep_other_end(actor, entry, data.ended_at)
        record(actor, "clock stopped again", ("time_entry", entry.id), ended_at=ended_at)
    return entry


def _living(entry: TimeEntry) -> TimeEntry:
    """The entry that replaced one, or itself: a command about a replaced entry applies to its successor."""
    while entry.state == EntryState.REPLACED:
        follower = entry.corrected_by.order_by("created_at", "id").last()
        if follower is None:
            break
        entry = follower
    return entry


def _end(actor: Actor, entry: TimeEntry, stamp: datetime) -> None:
    """Set the end of an entry; an end before its start is stored as the device's stamp only. The caller saves."""
    ended_at = actor.instant_of(stamp)
    entry.device_ended_at, entry.end_skew_ms = stamp, actor.skew_ms
    anomaly = anomaly_in(entry.started_at, ended_at, now())
    entry.anomaly = anomaly or (EntryAnomaly.CLOCK_SET if entry.unsure_ms else "")
    entry.ended_at = None if anomaly is EntryAnomaly.ENDS_FIRST else ended_at
    _mark_clock_anomaly(actor, entry)


def _mark_clock_anomaly(actor: Actor, entry: TimeEntry) -> None:
    """Open an issue about an entry whose stamps may be wrong because the phone's clock was set at an unknown moment."""
    if actor.or_skew_ms is not None:
        entry.unsure_ms = max(entry.unsure_ms, abs(actor.or_skew_ms - actor.skew_ms))
        entry.anomaly = entry.anomaly or EntryAnomaly.CLOCK_SET


def _keep_other_end(actor: Actor, entry: TimeEntry, stamp: datetime) -> None:
    """Store a second, different end of one clock from another phone as an entry of its own."""
    names = ("member_id", "job_id", "kind", "operation", "line_id", "started_at", "device_started_at", "start_skew_ms")
    again = TimeEntry(
        shop_id=actor.shop_id,
        device_id=actor.device_id,
        cause=entry.cause,
        repairs_id=entry.repairs_id,
        **{name: getattr(entry, name) for name in names},
    )
    if actor.command_id is not None:
        # A derived id: replayed after a restore, the command makes the same row.
        again.id = actor.command_id
    _end(actor, again, stamp)
    recompute_states(actor, again, entry, fresh=[again])


def import_entries(*, actor: Actor, data: Sequence[ClockedElsewhere]) -> int:
    """Import many ended spans at once, all or none: the history of a new shop. Returns how many.

    The caller holds the transaction. A database constraint refuses overlapping spans.
    """
    actor.require(Permission.CORRECT_TIME)
    refuse_faults([fault for one in data for fault in faults_of(one)], message="fields_invalid")
    TimeEntry.objects.bulk_create(
        TimeEntry(
            shop_id=actor.shop_id,
            state=EntryState.CLOSED,
            device_started_at=one.started_at,
            device_ended_at=one.ended_at,
            **{**one.model_dump(), "cause": one.cause or ""},
        )
        for one in data
    )
    record(actor, "time taken over", ("shop", actor.shop_id), entries=len(data))
    return len(data)
