"""Time entered by hand, corrections, and settled disputes."""

from datetime import datetime
from uuid import UUID

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid
from shopapi.core.rows import refuse_known_id
from shopapi.labor import queries
from shopapi.labor.models import TimeEntry
from shopapi.labor.rules.clock import anomaly_in, overlap
from shopapi.labor.rules.entry import (
    Correction,
    EntryAnomaly,
    EntryByHand,
    EntryDrop,
    EntryState,
    Settlement,
)
from shopapi.labor.services.disputes import entries_overlap, mark_replaced, recompute_states
from shopapi.labor.services.entry_checks import checked_work, correctable_entry, member_for


@command(needs=Permission.CLOCK, creates_row=True, rest_name="by-hand")
def add_entry(*, actor: Actor, data: EntryByHand) -> TimeEntry:
    """Enter time that no clock was running for."""
    refuse_known_id(TimeEntry, data.id)
    member_id = member_for(actor, data.member_id)
    entry = TimeEntry(
        id=data.id,
        shop_id=actor.shop_id,
        member_id=member_id,
        started_at=data.started_at,
        ended_at=data.ended_at,
        reason=data.reason,
        **checked_work(actor, data),
    )
    _refuse_anomaly(data.started_at, data.ended_at)
    _refuse_taken(actor, entry, allowed=frozenset())
    recompute_states(actor, entry, fresh=[entry])
    record(actor, "time added by hand", ("time_entry", entry.id), reason=data.reason)
    return entry


@command(needs=Permission.CLOCK, creates_row=True, rest_name="corrections")
def correct_entry(*, actor: Actor, data: Correction) -> TimeEntry:
    """Correct an entry: a new one with a reason replaces it."""
    refuse_known_id(TimeEntry, data.id)
    old = correctable_entry(actor, data.entry_id, field="entry_id")
    # A phone that does not know the repaired stamp yet sends the original one; that means unchanged.
    started_at = old.started_at if data.started_at == old.device_started_at else data.started_at
    ended_at = old.ended_at if old.ended_at and data.ended_at == old.device_ended_at else data.ended_at
    entry = _make_successor(old, data.id, started_at, ended_at, data.reason)
    for name, value in checked_work(actor, data).items():
        setattr(entry, name, value)
    _refuse_anomaly(started_at, ended_at)
    in_dispute = [other.id for other in _disputed_with(actor, old)]
    _refuse_taken(actor, entry, allowed=frozenset([old.id, *in_dispute]))
    mark_replaced(old)
    recompute_states(actor, entry, old, fresh=[entry])
    record(actor, "time corrected", ("time_entry", entry.id), corrects=old.id, reason=data.reason)
    return entry


@command(needs=Permission.CLOCK, rest_name="drop")
def drop_entry(*, actor: Actor, data: EntryDrop) -> TimeEntry:
    """Take out an entry that should not exist; the row is kept but no longer counts."""
    entry = correctable_entry(actor, data.id)
    mark_replaced(entry)
    # Keep the earlier reason and add why it was taken out.
    entry.reason = f"{entry.reason}; taken out: {data.reason}" if entry.reason else data.reason
    entry.save(update_fields=["reason"])
    recompute_states(actor, entry)
    record(actor, "time dropped", ("time_entry", entry.id), reason=data.reason)
    return entry


@command(needs=Permission.CLOCK, rest_name="settle")
def settle_entries(*, actor: Actor, data: Settlement) -> TimeEntry:
    """Settle a dispute: one entry counts and the other is replaced, or both are cut at a moment."""
    entry = correctable_entry(actor, data.id)
    if data.other_id is None:
        return _accept_as_recorded(actor, entry, data)
    other = correctable_entry(actor, data.other_id, field="other_id")
    if other.id == entry.id or other.member_id != entry.member_id or not entries_overlap(entry, other):
        raise Invalid("invalid", fields=[FieldError("other_id", "not_in_dispute")])
    if data.split is not None:
        return _split(actor, entry, other, data)
    mark_replaced(other)
    entry.anomaly, entry.unsure_ms = "" if entry.anomaly != EntryAnomaly.ENDS_FIRST else entry.anomaly, 0
    recompute_states(actor, entry, other)
    record(actor, "time settled", ("time_entry", entry.id), gives_way=other.id, reason=data.reason)
    return entry


def _accept_as_recorded(actor: Actor, entry: TimeEntry, data: Settlement) -> TimeEntry:
    if entry.anomaly == EntryAnomaly.ENDS_FIRST:
        raise Conflict("end_needed", fields=[FieldError("id", "end_needed")])
    if not entry.anomaly and entry.state == EntryState.DISPUTED:
        context = {"entry_id": str(_disputed_with(actor, entry)[0].id)}
        raise Invalid("invalid", fields=[FieldError("other_id", "other_needed")], context=context)
    entry.anomaly, entry.unsure_ms = "", 0
    recompute_states(actor, entry)
    record(actor, "time taken as it stands", ("time_entry", entry.id), reason=data.reason)
    return entry


def _split(actor: Actor, entry: TimeEntry, other: TimeEntry, data: Settlement) -> TimeEntry:
    """End the earlier entry at the given moment and begin the other one there."""
    assert data.split is not None  # noqa: S101 - for the type checker: its one caller has looked
    refuse_known_id(TimeEntry, data.split.id)
    refuse_known_id(TimeEntry, data.split.other_id)
    first, second = sorted((entry, other), key=lambda one: (one.started_at, one.id != entry.id))
    at = data.split.at
    if not first.started_at < at or (second.ended_at is not None and second.ended_at <= at) or at > now():
        raise Invalid("invalid", fields=[FieldError("split.at", "outside_of_both")])
    ids = {entry.id: data.split.id, other.id: data.split.other_id}
    made = [
        _make_successor(first, ids[first.id], first.started_at, at, data.reason),
        _make_successor(second, ids[second.id], at, second.ended_at, data.reason),
    ]
    mark_replaced(entry)
    mark_replaced(other)
    recompute_states(actor, entry, other, *made, fresh=made)
    record(actor, "time split", ("time_entry", entry.id), other=other.id, at=at, reason=data.reason)
    return next(one for one in made if one.id == data.split.id)


def _refuse_anomaly(started_at: datetime, ended_at: datetime | None) -> None:
    anomaly = anomaly_in(started_at, ended_at, now())
    if anomaly is not None:
        field = "started_at" if anomaly is EntryAnomaly.IN_FUTURE and started_at > now() else "ended_at"
        raise Invalid(
            "invalid", message="fields_invalid", fields=[FieldError(field, anomaly, message=f"given_{anomaly}")]
        )


def _disputed_with(actor: Actor, entry: TimeEntry) -> list[TimeEntry]:
    """The member's live entries that overlap one."""
    span = queries.span_of(entry)
    near = queries.overlapping_entries(actor, entry.member_id, [span])
    return [other for other in near if other.id != entry.id and overlap(span, queries.span_of(other))]


def _refuse_taken(actor: Actor, entry: TimeEntry, *, allowed: frozenset[UUID]) -> None:
    """Raise Conflict when an entry would overlap another, except those it is already in dispute with."""
    taken = [other for other in _disputed_with(actor, entry) if other.id not in allowed]
    if taken:
        context = {"entry_id": str(taken[0].id)}
        raise Conflict("time_taken", fields=[FieldError("started_at", "time_taken")], context=context)


def _make_successor(
    old: TimeEntry, new_id: UUID, started_at: datetime, ended_at: datetime | None, reason: str
) -> TimeEntry:
    """A row that replaces another; the device's stamps are kept for times that did not change."""
    names = ["shop_id", "member_id", "device_id", "job_id", "kind", "operation", "line_id", "cause", "repairs_id"]
    if started_at == old.started_at:
        names += ["device_started_at", "start_skew_ms"]
    if ended_at is not None and ended_at == old.ended_at:
        names += ["device_ended_at", "end_skew_ms"]
    kept = {name: getattr(old, name) for name in names}
    return TimeEntry(id=new_id, corrects_id=old.id, started_at=started_at, ended_at=ended_at, reason=reason, **kept)
