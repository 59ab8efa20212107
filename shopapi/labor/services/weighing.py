"""The states of a member's entries, kept in step with their spans; each dispute laid before people."""

from collections.abc import Iterable

from shopapi.core.actor import Actor
from shopapi.core.feed import lay_before_people
from shopapi.core.models import Issue
from shopapi.labor import queries
from shopapi.labor.models import TimeEntry
from shopapi.labor.rules.clock import overlap, states_of
from shopapi.labor.rules.entry import (
    COLLIDES,
    DOUBTS,
    Doubt,
    State,
)


def replace(entry: TimeEntry) -> None:
    entry.state = State.REPLACED
    entry.save(update_fields=["state"])


def weigh(actor: Actor, *touched: TimeEntry, fresh: Iterable[TimeEntry] = ()) -> None:
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
        with_it = [one for one in disputed if one.id != entry.id and meets(entry, one)]
        if entry.id in told or (not entry.doubt and any(one.id in told for one in with_it)):
            continue
        told.add(entry.id)
        _lay_before(actor, entry, with_it)


def meets(one: TimeEntry, other: TimeEntry) -> bool:
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
