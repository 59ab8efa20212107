"""Recompute the states of a member's entries from their spans; each new dispute opens an issue."""

from collections.abc import Iterable

from shopapi.accounts.queries import shop_of
from shopapi.core.actor import Actor
from shopapi.core.errors import Reason, pack
from shopapi.core.feed import open_issue
from shopapi.core.models import Issue
from shopapi.labor import queries
from shopapi.labor.models import TimeEntry
from shopapi.labor.rules.clock import clock_set_reason, overlap, states_of
from shopapi.labor.rules.entry import (
    EntryAnomaly,
    EntryState,
)


def mark_replaced(entry: TimeEntry) -> None:
    entry.state = EntryState.REPLACED
    entry.save(update_fields=["state"])


def recompute_states(actor: Actor, *touched: TimeEntry, fresh: Iterable[TimeEntry] = ()) -> None:
    """Save the entries a command changed, and update the state of every entry of the member that overlaps them.

    A database constraint refuses overlapping entries outside of disputes at every statement. So entries that come into
    dispute are written first, then those that got an end, then those no longer in dispute, and new ones last.
    """
    new = {entry.id for entry in fresh}
    member_id = touched[0].member_id
    # Entries that these overlapped before the change may no longer be in dispute.
    before = queries.entries_by_id(actor, member_id, [entry.id for entry in touched])
    spans = [queries.span_of(entry) for entry in (*touched, *before)]
    near = {entry.id: entry for entry in queries.overlapping_entries(actor, member_id, spans)}
    live = {entry.id: entry for entry in touched if entry.state != EntryState.REPLACED}
    near |= live
    wider = {
        entry.id: entry
        for entry in queries.overlapping_entries(actor, member_id, [*spans, *map(queries.span_of, near.values())])
    } | near
    known = {entry_id: entry for entry_id, entry in wider.items() if entry.state != EntryState.REPLACED}
    states = states_of(queries.span_of(entry) for entry in known.values())
    in_turn = sorted(known, key=lambda one: (states[one] is not EntryState.DISPUTED, one in new, one not in live, one))
    for entry_id in in_turn:
        if entry_id in live or known[entry_id].state != states[entry_id]:
            _write(known[entry_id], states[entry_id], is_new=entry_id in new)
    _update_issues(actor, known.values())


def _write(entry: TimeEntry, state: EntryState, *, is_new: bool) -> None:
    entry.state = state
    if is_new:
        entry.save(force_insert=True)
    else:
        entry.save(update_fields=["state", "anomaly", "ended_at", "device_ended_at", "end_skew_ms", "unsure_ms"])


def _update_issues(actor: Actor, entries: Iterable[TimeEntry]) -> None:
    """Open one issue per new dispute, and resolve the issues of disputes that no longer exist."""
    known = list(entries)
    open_issues = Issue.objects.filter(shop_id=actor.shop_id, entity_kind="time_entry", state=Issue.State.OPEN)
    replaced = TimeEntry.objects.filter(shop=actor.shop_id, state=EntryState.REPLACED)
    settled = [entry.id for entry in known if entry.state != EntryState.DISPUTED]
    open_issues.filter(entity_id__in=settled).update(state=Issue.State.RESOLVED)
    open_issues.filter(entity_id__in=replaced.values("id")).update(state=Issue.State.RESOLVED)
    disputed = sorted((entry for entry in known if entry.state == EntryState.DISPUTED), key=lambda one: one.started_at)
    with_issue = set(open_issues.values_list("entity_id", flat=True))
    for entry in disputed:
        if entry.id in with_issue and entry.anomaly == EntryAnomaly.CLOCK_SET:
            # It has an end by now.
            open_issues.filter(entity_id=entry.id).update(words=pack(_dispute_reason(actor, entry)))
        with_it = [one for one in disputed if one.id != entry.id and entries_overlap(entry, one)]
        if entry.id in with_issue or (not entry.anomaly and any(one.id in with_issue for one in with_it)):
            continue
        with_issue.add(entry.id)
        _open_dispute(actor, entry, with_it)


def entries_overlap(one: TimeEntry, other: TimeEntry) -> bool:
    return overlap(queries.span_of(one), queries.span_of(other))


def _open_dispute(actor: Actor, entry: TimeEntry, others: Iterable[TimeEntry]) -> None:
    # The issue names no command, since that was applied; the entry is what needs review.
    open_issue(
        shop_id=actor.shop_id,
        kind=Issue.Kind.HELD,
        command_id=None,
        name="start_clock",
        entity=("time_entry", entry.id),
        reason=_dispute_reason(actor, entry),
        theirs={},
        ours={"entry_ids": [str(one.id) for one in others]},
        member_id=entry.member_id,
    )


def _dispute_reason(actor: Actor, entry: TimeEntry) -> Reason:
    if entry.anomaly == EntryAnomaly.CLOCK_SET:
        by_phone = (entry.device_started_at, entry.device_ended_at)
        return clock_set_reason(by_phone, (entry.started_at, entry.ended_at), entry.unsure_ms, shop_of(actor).zone)
    return Reason(f"time_{entry.anomaly}") if entry.anomaly else Reason("time_collides")
