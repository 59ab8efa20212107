"""Clocked time: the only writer of this app."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from shopapi.accounts.models import Member
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.audit import record
from shopapi.core.clock import now
from shopapi.core.commands import command
from shopapi.core.errors import Conflict, FieldError, Invalid, NotFound
from shopapi.core.feed import lay_before_people
from shopapi.core.models import Issue
from shopapi.core.rows import refuse_known_id
from shopapi.jobs.queries import job_for
from shopapi.labor import queries
from shopapi.labor.models import TimeEntry
from shopapi.labor.rules.clock import doubt_about, ends_alike, overlap, repair_of, repaired, states_of
from shopapi.labor.rules.entry import (
    COLLIDES,
    DOUBTS,
    ClockedElsewhere,
    ClockStart,
    ClockStop,
    Correction,
    Doubt,
    EntryByHand,
    EntryDrop,
    Settlement,
    State,
    Work,
    faults_of,
)

# Facts: what the clock did


@command(needs=Permission.CLOCK, fact=True)
def start_clock(*, actor: Actor, data: ClockStart) -> TimeEntry:
    """Start a clock; what ran before on this device, or was shown there as running, ends at that moment.

    A clock that runs elsewhere unseen by this device goes on, and the two are in dispute.
    """
    refuse_known_id(TimeEntry, data.id)
    work = _checked_work(actor, data)
    member_id = _member_for(actor, None)
    started_at = repaired(data.started_at, actor.skew_ms)
    named = {_living(one).id for one in queries.live_or_not(actor, member_id, data.ends_ids)}
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
        start_skew_ms=repair_of(actor.skew_ms),
        doubt=doubt_about(started_at, None, now()) or "",
        **work,
    )
    _weigh(actor, entry, *ended, fresh=[entry])
    record(actor, "clock started", ("time_entry", entry.id), kind=data.kind, ended=[one.id for one in ended])
    return entry


@command(needs=Permission.CLOCK, fact=True)
def stop_clock(*, actor: Actor, data: ClockStop) -> TimeEntry:
    """Stop a clock. If it has ended already at another moment, both ends are kept and are in dispute."""
    entry = _living(_own(actor, data.id))
    ended_at = repaired(data.ended_at, actor.skew_ms)
    if entry.state == State.REPLACED:
        record(actor, "dropped clock stopped", ("time_entry", entry.id), ended_at=ended_at)
    elif entry.ended_at is None and entry.doubt != Doubt.ENDS_FIRST:
        _end(actor, entry, data.ended_at)
        _weigh(actor, entry)
        record(actor, "clock stopped", ("time_entry", entry.id), ended_at=ended_at)
    else:
        if not ends_alike(entry.ended_at, ended_at) and ended_at > entry.started_at:
            _keep_other_end(actor, entry, data.ended_at)
        record(actor, "clock stopped again", ("time_entry", entry.id), ended_at=ended_at)
    return entry


def _living(entry: TimeEntry) -> TimeEntry:
    """The entry that took the place of one, if any did: what is said of the old is meant for that."""
    while entry.state == State.REPLACED:
        follower = entry.corrected_by.order_by("created_at", "id").last()
        if follower is None:
            break
        entry = follower
    return entry


def _end(actor: Actor, entry: TimeEntry, stamp: datetime) -> None:
    """Give an entry its end; one that would lie before its beginning is kept as a stamp alone. Not saved yet."""
    ended_at = repaired(stamp, actor.skew_ms)
    entry.device_ended_at, entry.end_skew_ms = stamp, repair_of(actor.skew_ms)
    doubt = doubt_about(entry.started_at, ended_at, now())
    entry.doubt = doubt or ""
    entry.ended_at = None if doubt is Doubt.ENDS_FIRST else ended_at


def _keep_other_end(actor: Actor, entry: TimeEntry, stamp: datetime) -> None:
    """Two phones say different ends of one clock: the second is kept as an entry beside the first."""
    names = ("member_id", "job_id", "kind", "operation", "line_id", "started_at", "device_started_at", "start_skew_ms")
    again = TimeEntry(
        shop_id=actor.shop_id,
        device_id=actor.device_id,
        cause=entry.cause,
        repairs_id=entry.repairs_id,
        **{name: getattr(entry, name) for name in names},
    )
    if actor.command_id is not None:
        # Run again after a restore, it is the same row.
        again.id = actor.command_id
    _end(actor, again, stamp)
    _weigh(actor, again, entry, fresh=[again])


# Intents: what people put right


@command(needs=Permission.CLOCK)
def add_entry(*, actor: Actor, data: EntryByHand) -> TimeEntry:
    """Write down time that no clock was running for."""
    refuse_known_id(TimeEntry, data.id)
    member_id = _member_for(actor, data.member_id)
    entry = TimeEntry(
        id=data.id,
        shop_id=actor.shop_id,
        member_id=member_id,
        started_at=data.started_at,
        ended_at=data.ended_at,
        reason=data.reason,
        **_checked_work(actor, data),
    )
    _refuse_doubtful(data.started_at, data.ended_at)
    _refuse_taken(actor, entry, allowed=frozenset())
    _weigh(actor, entry, fresh=[entry])
    record(actor, "time added by hand", ("time_entry", entry.id), reason=data.reason)
    return entry


@command(needs=Permission.CLOCK)
def correct_entry(*, actor: Actor, data: Correction) -> TimeEntry:
    """Put an entry right: a new one replaces it, and says why."""
    refuse_known_id(TimeEntry, data.id)
    old = _correctable(actor, data.entry_id, field="entry_id")
    entry = _successor(old, data.id, data.started_at, data.ended_at, data.reason)
    for name, value in _checked_work(actor, data).items():
        setattr(entry, name, value)
    _refuse_doubtful(data.started_at, data.ended_at)
    in_dispute = [other.id for other in _beside(actor, old)]
    _refuse_taken(actor, entry, allowed=frozenset([old.id, *in_dispute]))
    _replace(old)
    _weigh(actor, entry, old, fresh=[entry])
    record(actor, "time corrected", ("time_entry", entry.id), corrects=old.id, reason=data.reason)
    return entry


@command(needs=Permission.CLOCK)
def drop_entry(*, actor: Actor, data: EntryDrop) -> TimeEntry:
    """Let an entry count no more: it should never have been started."""
    entry = _correctable(actor, data.id)
    _replace(entry)
    entry.reason = data.reason
    entry.save(update_fields=["reason"])
    _weigh(actor, entry)
    record(actor, "time dropped", ("time_entry", entry.id), reason=data.reason)
    return entry


@command(needs=Permission.CLOCK)
def settle_entries(*, actor: Actor, data: Settlement) -> TimeEntry:
    """Settle a dispute: one entry holds and the other gives way, or both do at a time."""
    entry = _correctable(actor, data.id)
    if data.other_id is None:
        return _take_as_it_stands(actor, entry, data)
    other = _correctable(actor, data.other_id, field="other_id")
    if other.id == entry.id or other.member_id != entry.member_id:
        words = "Name two entries of one person that are in dispute."
        raise Invalid("invalid", words, fields=[FieldError("other_id", "not_in_dispute", words)])
    if data.split is not None:
        return _split(actor, entry, other, data)
    _replace(other)
    entry.doubt = "" if entry.doubt != Doubt.ENDS_FIRST else entry.doubt
    _weigh(actor, entry, other)
    record(actor, "time settled", ("time_entry", entry.id), gives_way=other.id, reason=data.reason)
    return entry


def _take_as_it_stands(actor: Actor, entry: TimeEntry, data: Settlement) -> TimeEntry:
    if entry.doubt == Doubt.ENDS_FIRST:
        words = "This entry has no end to take; say when it ended."
        raise Conflict("end_needed", words, fields=[FieldError("id", "end_needed", words)])
    entry.doubt = ""
    _weigh(actor, entry)
    record(actor, "time taken as it stands", ("time_entry", entry.id), reason=data.reason)
    return entry


def _split(actor: Actor, entry: TimeEntry, other: TimeEntry, data: Settlement) -> TimeEntry:
    """The one that began first ends at the time, the other begins then."""
    assert data.split is not None  # noqa: S101 - for the type checker: its one caller has looked
    refuse_known_id(TimeEntry, data.split.id)
    refuse_known_id(TimeEntry, data.split.other_id)
    first, second = sorted((entry, other), key=lambda one: (one.started_at, one.id != entry.id))
    at = data.split.at
    if not first.started_at < at or (second.ended_at is not None and second.ended_at <= at) or at > now():
        words = "Give a time after the first began and before the second ended."
        raise Invalid("invalid", words, fields=[FieldError("split.at", "outside_of_both", words)])
    ids = {entry.id: data.split.id, other.id: data.split.other_id}
    made = [
        _successor(first, ids[first.id], first.started_at, at, data.reason),
        _successor(second, ids[second.id], at, second.ended_at, data.reason),
    ]
    _replace(entry)
    _replace(other)
    _weigh(actor, entry, other, *made, fresh=made)
    record(actor, "time split", ("time_entry", entry.id), other=other.id, at=at, reason=data.reason)
    return next(one for one in made if one.id == data.split.id)


# Time kept elsewhere before


def take_over_entries(*, actor: Actor, data: Sequence[ClockedElsewhere]) -> int:
    """Write down many ended spans at once, all or none: the history of a shop that begins here. Returns how many.

    The caller holds the transaction. Spans that overlap are refused by the database itself.
    """
    actor.require(Permission.CORRECT_TIME)
    faults = [fault for one in data for fault in faults_of(one)]
    if faults:
        raise Invalid("invalid", "Some fields need mending.", fields=faults)
    TimeEntry.objects.bulk_create(
        TimeEntry(
            shop_id=actor.shop_id,
            state=State.CLOSED,
            device_started_at=one.started_at,
            device_ended_at=one.ended_at,
            **{**one.model_dump(), "cause": one.cause or ""},
        )
        for one in data
    )
    record(actor, "time taken over", ("shop", actor.shop_id), entries=len(data))
    return len(data)


# What they share


def _own(actor: Actor, entry_id: UUID) -> TimeEntry:
    """One's own entry, or anybody's for those who correct time."""
    entry = queries.entry_for(actor, entry_id)
    if entry.member_id != actor.member_id:
        actor.require(Permission.CORRECT_TIME)
    return entry


def _correctable(actor: Actor, entry_id: UUID, *, field: str = "id") -> TimeEntry:
    entry = queries.entry_for(actor, entry_id, field=field)
    if entry.member_id != actor.member_id:
        actor.require(Permission.CORRECT_TIME)
    if entry.state == State.REPLACED:
        words = "This entry has been replaced already; look at the one that took its place."
        raise Conflict("entry_replaced", words, fields=[FieldError(field, "entry_replaced", words)])
    return entry


def _member_for(actor: Actor, member_id: UUID | None) -> UUID:
    if member_id is None or member_id == actor.member_id:
        if actor.member_id is None:
            words = "Say whose time this is."
            raise Invalid("invalid", words, fields=[FieldError("member_id", "missing", words)])
        return actor.member_id
    actor.require(Permission.CORRECT_TIME)
    if not Member.objects.filter(shop=actor.shop_id, id=member_id).exists():
        raise NotFound("member", member_id, field="member_id")
    return member_id


def _checked_work(actor: Actor, data: Work) -> dict[str, Any]:
    """The columns of what the time was for. Raises Invalid or NotFound."""
    faults = faults_of(data)
    if faults:
        raise Invalid("invalid", "Some fields need mending.", fields=faults)
    if data.job_id is not None:
        job_for(actor, data.job_id)
    if data.repairs_id is not None:
        queries.entry_for(actor, data.repairs_id, field="repairs_id")
    columns = data.model_dump(include=set(Work.model_fields))
    return {**columns, "cause": data.cause or ""}


def _refuse_doubtful(started_at: datetime, ended_at: datetime | None) -> None:
    doubt = doubt_about(started_at, ended_at, now())
    if doubt is not None:
        field = "started_at" if doubt is Doubt.IN_FUTURE and started_at > now() else "ended_at"
        raise Invalid("invalid", "Some fields need mending.", fields=[FieldError(field, doubt, REFUSED[doubt])])


REFUSED = {
    Doubt.ENDS_FIRST: "This ends before it begins; give a later end.",
    Doubt.IN_FUTURE: "This lies in the future; give a time that has been.",
    Doubt.TOO_LONG: "This is longer than 24 hours; write down each day by itself.",
}


def _beside(actor: Actor, entry: TimeEntry) -> list[TimeEntry]:
    """The live entries of the same member that share a moment with one."""
    span = queries.span_of(entry)
    near = queries.around(actor, entry.member_id, [span])
    return [other for other in near if other.id != entry.id and overlap(span, queries.span_of(other))]


def _refuse_taken(actor: Actor, entry: TimeEntry, *, allowed: frozenset[UUID]) -> None:
    """Raise Conflict when an entry would take time that another has, those in dispute with it already apart."""
    taken = [other for other in _beside(actor, entry) if other.id not in allowed]
    if taken:
        words = "Another entry has this time already; end before it begins, or put that one right first."
        more = {"entry_id": str(taken[0].id)}
        raise Conflict("time_taken", words, fields=[FieldError("started_at", "time_taken", words)], more=more)


def _successor(old: TimeEntry, new_id: UUID, started_at: datetime, ended_at: datetime | None, reason: str) -> TimeEntry:
    """A row in place of another; the device's stamp stays beside what was left as it was."""
    names = ["shop_id", "member_id", "device_id", "job_id", "kind", "operation", "line_id", "cause", "repairs_id"]
    if started_at == old.started_at:
        names += ["device_started_at", "start_skew_ms"]
    if ended_at is not None and ended_at == old.ended_at:
        names += ["device_ended_at", "end_skew_ms"]
    kept = {name: getattr(old, name) for name in names}
    return TimeEntry(id=new_id, corrects_id=old.id, started_at=started_at, ended_at=ended_at, reason=reason, **kept)


def _replace(entry: TimeEntry) -> None:
    entry.state = State.REPLACED
    entry.save(update_fields=["state"])


def _weigh(actor: Actor, *touched: TimeEntry, fresh: Iterable[TimeEntry] = ()) -> None:
    """Write the entries a command touched, and the state of every entry of the member that they meet.

    The database takes no two that overlap, not even for a moment. So those that come into dispute are written first,
    then those that got an end, those that are free of them now, and the new ones last.
    """
    new = {entry.id for entry in fresh}
    member_id = touched[0].member_id
    # What they met before they changed may be free of them now.
    before = queries.live_or_not(actor, member_id, [entry.id for entry in touched])
    spans = [queries.span_of(entry) for entry in (*touched, *before)]
    near = {entry.id: entry for entry in queries.around(actor, member_id, spans)}
    live = {entry.id: entry for entry in touched if entry.state != State.REPLACED}
    near |= live
    wider = {
        entry.id: entry for entry in queries.around(actor, member_id, [*spans, *map(queries.span_of, near.values())])
    } | near
    known = {entry_id: entry for entry_id, entry in wider.items() if entry.state != State.REPLACED}
    states = states_of(queries.span_of(entry) for entry in known.values())
    in_turn = sorted(known, key=lambda one: (states[one] is not State.DISPUTED, one in new, one not in live, one))
    for entry_id in in_turn:
        if entry_id in live or known[entry_id].state != states[entry_id]:
            _write(known[entry_id], states[entry_id], is_new=entry_id in new)
    _keep_issues(actor, known.values())


def _write(entry: TimeEntry, state: State, *, is_new: bool) -> None:
    entry.state = state
    if is_new:
        entry.save(force_insert=True)
    else:
        entry.save(update_fields=["state", "doubt", "ended_at", "device_ended_at", "end_skew_ms"])


def _keep_issues(actor: Actor, entries: Iterable[TimeEntry]) -> None:
    """Lay each new dispute before people once, and take back those that have settled themselves."""
    known = list(entries)
    open_issues = Issue.objects.filter(shop_id=actor.shop_id, entity_kind="time_entry", state=Issue.State.OPEN)
    replaced = TimeEntry.objects.filter(shop=actor.shop_id, state=State.REPLACED)
    settled = [entry.id for entry in known if entry.state != State.DISPUTED]
    open_issues.filter(entity_id__in=settled).update(state=Issue.State.RESOLVED)
    open_issues.filter(entity_id__in=replaced.values("id")).update(state=Issue.State.RESOLVED)
    disputed = sorted((entry for entry in known if entry.state == State.DISPUTED), key=lambda one: one.started_at)
    told = set(open_issues.values_list("entity_id", flat=True))
    for entry in disputed:
        with_it = [one for one in disputed if one.id != entry.id and _meets(entry, one)]
        if entry.id in told or (not entry.doubt and any(one.id in told for one in with_it)):
            continue
        told.add(entry.id)
        _lay_before(actor, entry, with_it)


def _meets(one: TimeEntry, other: TimeEntry) -> bool:
    return overlap(queries.span_of(one), queries.span_of(other))


def _lay_before(actor: Actor, entry: TimeEntry, others: Iterable[TimeEntry]) -> None:
    # No command is named: it was applied. What must be looked at is the entry.
    lay_before_people(
        shop_id=actor.shop_id,
        kind=Issue.Kind.HELD,
        command_id=None,
        name="start_clock",
        entity=("time_entry", entry.id),
        words=DOUBTS[Doubt(entry.doubt)] if entry.doubt else COLLIDES,
        theirs={},
        ours={"entry_ids": [str(one.id) for one in others]},
        member_id=entry.member_id,
    )
