"""Reads of clocked time."""

from collections.abc import Iterable
from datetime import datetime
from uuid import UUID

from django.db.models import Q, QuerySet

from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.rows import row_among
from shopapi.labor.models import TimeEntry
from shopapi.labor.rules.clock import EntrySpan
from shopapi.labor.rules.entry import EntryAnomaly, EntryState

LIVE = (EntryState.OPEN, EntryState.CLOSED, EntryState.DISPUTED)


def time_entries(actor: Actor) -> QuerySet[TimeEntry]:
    """The entries that the actor may see: everybody's time on jobs, and their own other time.

    Members who may correct anybody's time see all entries.
    """
    entries = TimeEntry.objects.filter(shop=actor.shop_id)
    if actor.may(Permission.CORRECT_TIME):
        return entries
    return entries.filter(Q(member=actor.member_id) | Q(job__isnull=False))


def settled_entries(entries: QuerySet[TimeEntry]) -> QuerySet[TimeEntry]:
    """The entries that count: running or ended, neither in dispute nor replaced."""
    return entries.filter(state__in=[EntryState.OPEN, EntryState.CLOSED])


def entry_for(actor: Actor, entry_id: UUID, *, field: str = "id") -> TimeEntry:
    """An entry that the actor may see, locked. Raises NotFound."""
    return row_among(time_entries(actor), entry_id, field=field)


def entries_by_id(actor: Actor, member_id: UUID, ids: Iterable[UUID]) -> QuerySet[TimeEntry]:
    """A member's entries by their ids, including replaced ones; unknown ids are ignored."""
    return TimeEntry.objects.filter(shop=actor.shop_id, member=member_id, id__in=list(ids))


def live_entries(actor: Actor, member_id: UUID | None) -> QuerySet[TimeEntry]:
    """A member's entries that are not replaced."""
    return TimeEntry.objects.filter(shop=actor.shop_id, member=member_id, state__in=LIVE)


def running(actor: Actor, member_id: UUID | None) -> QuerySet[TimeEntry]:
    """A member's entries without an end: at most one, or several while they are in dispute."""
    return live_entries(actor, member_id).filter(ended_at=None).exclude(anomaly=EntryAnomaly.ENDS_FIRST)


def overlapping_entries(actor: Actor, member_id: UUID, spans: Iterable[EntrySpan]) -> list[TimeEntry]:
    """A member's entries that overlap the range from the earliest to the latest of the spans.

    A span that ends before it begins is skipped: it has no time, and would extend the range to everything since then.
    """
    known = [span for span in spans if span.anomaly != EntryAnomaly.ENDS_FIRST]
    if not known:
        return []
    ends = [span.ended_at for span in known if span.ended_at is not None]
    near = live_entries(actor, member_id).exclude(anomaly=EntryAnomaly.ENDS_FIRST)
    near = near.filter(Q(ended_at=None) | Q(ended_at__gt=min(span.started_at for span in known)))
    if len(ends) == len(known):
        near = near.filter(started_at__lt=max(ends))
    return list(near.order_by("started_at", "id"))


def long_running(actor: Actor, before: datetime) -> QuerySet[TimeEntry]:
    """Entries that were started before a moment and have no end yet: most likely forgotten."""
    entries = TimeEntry.objects.filter(shop=actor.shop_id, state__in=LIVE, ended_at=None, started_at__lt=before)
    return entries.exclude(anomaly=EntryAnomaly.ENDS_FIRST).order_by("started_at", "id")


def span_of(entry: TimeEntry) -> EntrySpan:
    return EntrySpan(entry.id, entry.started_at, entry.ended_at, entry.anomaly)
