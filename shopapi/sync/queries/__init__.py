"""What devices pull: the changes since a cursor, or a snapshot in pages, each read in one frozen snapshot."""

import json
import logging
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from hashlib import sha256
from itertools import groupby
from typing import Any
from uuid import UUID

from django.db import connection
from django.db.models import Exists, OuterRef, Q, QuerySet
from pydantic import ValidationError

from shopapi.accounts.models import Device
from shopapi.accounts.rules import Permission
from shopapi.core.actor import Actor
from shopapi.core.errors import Conflict, DomainError, FieldError, Invalid, NotFound, unpack
from shopapi.core.feed import HELD_COMMAND
from shopapi.core.models import Issue, SyncChange, SyncCommit, SyncHead
from shopapi.core.rendering import plain_context
from shopapi.core.resources import Resource, all_resources
from shopapi.core.rows import row_among
from shopapi.core.schema import to_json
from shopapi.sync.models import LoggedCommand
from shopapi.sync.queries.working_set import working_set
from shopapi.sync.rules.changes import READING_ALL, WITHIN, Change, ChangesAnswer, Place, parse_place
from shopapi.sync.rules.cursor import (
    Cursor,
    SnapshotPosition,
    decode_position,
    encode_position,
    parse_cursor,
    resync_reason,
)
from shopapi.sync.rules.issue import IssueRow
from shopapi.sync.rules.outcomes import CommandStatus, HeldReason

log = logging.getLogger("shopapi.sync")

MAX_CHANGES_PER_PAGE = 1000
SNAPSHOT_PAGE_ROWS = 500
ROWS_FOR_PROGRAMS = 500
BYTES_FOR_PROGRAMS = 1_000_000
# The JSON size of a tombstone: kind and id in quotes and brackets, with a comma.
TOMBSTONE_BYTES = 65
SMALLEST_ID = UUID(int=0)


@cache
def synced_kinds() -> Mapping[str, Resource]:
    """The resources that devices store, by kind, in the order in which a new device needs them."""
    return {resource.kind: resource for resource in all_resources() if resource.synced}


def kinds_for(actor: Actor) -> dict[str, Resource]:
    """The resources that a program reads with this actor's rights, by kind, in the order of a snapshot."""
    found = [resource for resource in all_resources() if resource.in_feed]
    return {resource.kind: resource for resource in found if actor.may(resource.reads or Permission.READ)}


def order_digest(kinds: Iterable[str]) -> str:
    """A short digest of the order in which a snapshot gives the kinds."""
    return sha256(",".join(kinds).encode()).hexdigest()[:12]


@dataclass(frozen=True)
class PullPage:
    """One page of changes: rows by kind, tombstones (`gone`), the cursor after them, and whether there is more."""

    rows: dict[str, list[Any]]
    gone: list[tuple[str, UUID]]
    cursor: str
    more: bool


def pull_changes(actor: Actor, cursor_text: str, *, max_bytes: int) -> PullPage | str | None:
    """The changes since a cursor, or the reason for a new snapshot, or None if nothing changed.

    Runs inside `in_shop_snapshot`. A page holds whole commits. A commit that does not fit on one is spread over pages
    of its own, parents before their children; until the last of them the device holds a part of it. A row that changes
    again meanwhile comes with the later commit. A page is only larger than `max_bytes` if one row alone is.
    """
    cursor = parse_cursor(cursor_text)
    if cursor is None:
        return "fork"
    head = SyncHead.objects.get(shop_id=actor.shop_id)
    reason = _resync_reason(actor, cursor, head)
    if reason is not None:
        return reason
    if cursor.within:
        return _page_within(actor, head, cursor.seq, cursor.within, max_bytes)
    if cursor.seq == head.seq:
        return None
    changes = _next_changes(actor.shop_id, cursor.seq)
    shown = _rows_with_size(actor, changes, synced_kinds())
    page, used, last = _Page(), 0, cursor.seq
    for seq, group in groupby(changes, key=lambda change: change.seq):
        of_commit = list(group)
        size = sum(_size(change, shown) for change in of_commit)
        if used + size > max_bytes:
            break
        used, last = used + size, seq
        for change in of_commit:
            page.add(change, shown)
    if last == cursor.seq and (first := _changes_of(actor.shop_id, synced_kinds()).filter(seq__gt=last).first()):
        return _page_within(actor, head, first.seq, "", max_bytes)
    return _pull_page(actor, head, page, last)


class _Page:
    """The rows by kind, and the tombstones, of a page that is being made."""

    def __init__(self) -> None:
        self.rows: dict[str, list[Any]] = {}
        self.gone: list[tuple[str, UUID]] = []

    def add(self, change: SyncChange, shown: Mapping[tuple[str, UUID], tuple[Any, int]]) -> None:
        """Add what a change says. Rows that this member may not see are left out."""
        if change.dead:
            self.gone.append((change.kind, change.row_id))
        elif (change.kind, change.row_id) in shown:
            self.rows.setdefault(change.kind, []).append(shown[change.kind, change.row_id][0])


def _size(change: SyncChange, shown: Mapping[tuple[str, UUID], tuple[Any, int]]) -> int:
    return TOMBSTONE_BYTES if change.dead else shown.get((change.kind, change.row_id), (None, 0))[1]


def _pull_page(actor: Actor, head: SyncHead, page: _Page, last: int) -> PullPage:
    """A page that ends with all of commit `last`."""
    more = _changes_of(actor.shop_id, synced_kinds()).filter(seq__gt=last).exists()
    at = last if more else head.seq
    token = _commit_token(actor.shop_id, at) or ""
    return PullPage(page.rows, page.gone, str(Cursor(head.epoch, at, token, actor.view)), more)


def _page_within(actor: Actor, head: SyncHead, seq: int, within: str, max_bytes: int) -> PullPage:
    """As much of one commit, from a position in it on, as fits on a page.

    A position from another version of the server has another order of kinds: the commit starts over.
    """
    names, page, used, taken = list(synced_kinds()), _Page(), 0, 0
    order, position = order_digest(names), decode_position(within)
    if position is None or position.order != order or position.kind not in names:
        position = SnapshotPosition(order, names[0], SMALLEST_ID)
    of_commit = SyncChange.objects.filter(shop_id=actor.shop_id, seq=seq)
    for name in names[names.index(position.kind) :]:
        beyond = Q(row_id__gt=position.row_id) if name == position.kind else Q()
        changes = list(of_commit.filter(beyond, kind=name).order_by("row_id")[: MAX_CHANGES_PER_PAGE - taken + 1])
        shown = _rows_with_size(actor, changes, synced_kinds())
        for change in changes:
            size = _size(change, shown)
            if taken and (taken == MAX_CHANGES_PER_PAGE or used + size > max_bytes):
                token = _commit_token(actor.shop_id, seq) or ""
                cursor = Cursor(head.epoch, seq, token, actor.view, encode_position(position))
                return PullPage(page.rows, page.gone, str(cursor), more=True)
            used, taken = used + size, taken + 1
            position = SnapshotPosition(order, name, change.row_id)
            page.add(change, shown)
    return _pull_page(actor, head, page, seq)


def _changes_of(shop_id: UUID, kinds: Iterable[str]) -> QuerySet[SyncChange]:
    """The last change of each row of these kinds, in commit order."""
    return SyncChange.objects.filter(shop_id=shop_id, kind__in=list(kinds)).order_by("seq", "kind", "row_id")


def _next_changes(shop_id: UUID, after: int) -> list[SyncChange]:
    """The next changes in commit order: whole commits only, none if the first has more changes than a page."""
    found = list(_changes_of(shop_id, synced_kinds()).filter(seq__gt=after)[: MAX_CHANGES_PER_PAGE + 1])
    if len(found) <= MAX_CHANGES_PER_PAGE:
        return found
    return [change for change in found if change.seq < found[-1].seq]


def _rows_with_size(
    actor: Actor, changes: Iterable[SyncChange], kinds: Mapping[str, Resource]
) -> dict[tuple[str, UUID], tuple[Any, int]]:
    """The rows behind changes as the actor sees them, each with its size in bytes. One query per kind."""
    shown = {}
    living = sorted((change for change in changes if not change.dead), key=lambda change: change.kind)
    for kind_name, group in groupby(living, key=lambda change: change.kind):
        resource = kinds[kind_name]
        for instance in resource.rows(actor).filter(id__in=[change.row_id for change in group]):
            for row in _readable(actor, resource, [instance]):
                shown[kind_name, instance.id] = (row, len(json.dumps(row)) + 1)
    return shown


def _readable(actor: Actor, resource: Resource, instances: Iterable[Any]) -> list[Any]:
    """Rows as the actor sees them. One that was stored invalid is logged and left out: all others still arrive."""
    rows = []
    for instance in instances:
        try:
            rows.append(to_json(resource.show(actor, instance)))
        except (DomainError, ValidationError):
            log.exception("stored row of kind %s is invalid: %s", resource.kind, instance.pk)
    return rows


def _commit_token(shop_id: UUID, seq: int) -> str | None:
    found = SyncCommit.objects.filter(shop_id=shop_id, seq=seq).values_list("token", flat=True).first()
    return None if found is None else str(found)


@dataclass(frozen=True)
class SnapshotPage:
    """One page of a snapshot. The cursor of the first page is where to pull from afterwards."""

    rows: dict[str, list[Any]]
    after: str | None
    cursor: str


def read_working_set_page(actor: Actor, after_text: str) -> SnapshotPage:
    """What a phone needs first, a page at a time; a snapshot of everything follows. Runs inside `in_shop_snapshot`."""
    chosen = working_set(actor)
    kinds = {kind: resource for kind, resource in synced_kinds().items() if kind in chosen}
    return read_snapshot_page(actor, after_text, kinds, narrowed=chosen)


def count_rows(shop_id: UUID) -> int:
    """How many rows devices of the shop store; those that one member may not see included."""
    return _changes_of(shop_id, synced_kinds()).filter(dead=False).count()


def read_snapshot_page(
    actor: Actor,
    after_text: str,
    kinds: Mapping[str, Resource] | None = None,
    *,
    most: int = SNAPSHOT_PAGE_ROWS,
    narrowed: Mapping[str, Q] | None = None,
) -> SnapshotPage:
    """Everything the actor may see, a page at a time in a fixed order. Runs inside `in_shop_snapshot`.

    Of `kinds`, by default those that devices store, and of those the rows that `narrowed` names, by default all.
    Changes made while the pages are read come with a pull from the first page's cursor.
    """
    kinds = synced_kinds() if kinds is None else kinds
    names, order = list(kinds), order_digest(kinds)
    kind_name, row_id = names[0], None
    if after_text:
        position = decode_position(after_text)
        if position is None:
            raise Invalid("invalid", message="unknown_place")
        # A position from another version of the server has another order of kinds: continuing there could skip some, so
        # the snapshot starts over.
        if position.order == order and position.kind in names:
            kind_name, row_id = position.kind, position.row_id
    rows: dict[str, list[Any]] = {}
    left = most
    after = None
    for name in names[names.index(kind_name) :]:
        resource = kinds[name]
        beyond = Q(id__gt=row_id) if row_id is not None and name == kind_name else Q()
        only = (narrowed or {}).get(name, Q())
        found = list(resource.rows(actor).filter(beyond & only).order_by("id")[: left + 1])
        if readable := _readable(actor, resource, found[:left]):
            rows[name] = readable
        if len(found) > left:
            # If the page is full before this kind begins, the next one starts at its first row.
            after = encode_position(SnapshotPosition(order, name, found[left - 1].id if left else SMALLEST_ID))
            break
        left -= len(found)
    head = SyncHead.objects.get(shop_id=actor.shop_id)
    token = _commit_token(actor.shop_id, head.seq) or ""
    return SnapshotPage(rows, after, str(Cursor(head.epoch, head.seq, token, actor.view)))


def list_changes(actor: Actor, since: str, *, most: int = ROWS_FOR_PROGRAMS) -> ChangesAnswer:
    """A page of the change list for programs: of everything at first, then of what changed; at most `most` changes.

    Runs inside `in_shop_snapshot`. Raises Conflict `changes_start_over` where the list cannot go on from `since`.
    """
    # Some rows are only for the member they belong to, so the cursor of one member's key does not serve another's.
    actor = replace(actor, view=sha256(f"{actor.view} {actor.member_id}".encode()).hexdigest()[:12])
    kinds, place = kinds_for(actor), parse_place(since)
    if place.reading_all or not since:
        page = read_snapshot_page(actor, place.position if place.reading_all else "", kinds, most=most)
        # What changes while the snapshot is read comes after it: the first page's cursor counts.
        following = str(Place(READING_ALL if page.after else "", page.after or "", place.cursor or page.cursor))
        return ChangesAnswer(changes=_as_changes(page.rows), next=following, more=True)
    cursor, within = parse_cursor(place.cursor), decode_position(place.position) if place.position else None
    head = SyncHead.objects.get(shop_id=actor.shop_id)
    if cursor is None or cursor.within or (place.position and within is None):
        # A program's own position stands beside its cursor, never in it.
        reason: str | None = "fork"
    else:
        # A cursor without a view makes no claim of what was seen before.
        reached = replace(cursor, view=cursor.view or actor.view, within=place.position)
        reason = _resync_reason(actor, reached, head)
    if cursor is None or reason is not None:
        context = {"reason": f"changes_start_over.{reason}"}
        raise Conflict(
            "changes_start_over", fields=[FieldError("since", "changes_start_over", context=context)], context=context
        )
    beyond = Q(seq__gt=cursor.seq)
    if within is not None:
        same = Q(seq=cursor.seq)
        beyond |= (same & Q(kind__gt=within.kind)) | (same & Q(kind=within.kind, row_id__gt=within.row_id))
    found = list(_changes_of(actor.shop_id, kinds).filter(beyond)[: most + 1])
    return _changes_page(actor, found, most, kinds, head)


def _changes_page(
    actor: Actor, found: Sequence[SyncChange], most: int, kinds: Mapping[str, Resource], head: SyncHead
) -> ChangesAnswer:
    """As many of the changes found as fit; a commit that does not fit is continued on the next page."""
    shown = _rows_with_size(actor, found[:most], kinds)
    changes: list[Change] = []
    used, taken = 0, 0
    for change in found[:most]:
        row, size = shown.get((change.kind, change.row_id), (None, TOMBSTONE_BYTES))
        if taken and used + size > BYTES_FOR_PROGRAMS:
            break
        used, taken = used + size, taken + 1
        # Rows that this actor may not see are left out.
        if change.dead or row is not None:
            changes.append(Change(kind=change.kind, id=change.row_id, deleted=change.dead, row=row))
    more = taken < len(found)
    at = found[taken - 1].seq if more else head.seq
    cursor = str(Cursor(head.epoch, at, _commit_token(actor.shop_id, at) or "", actor.view))
    if not more or found[taken].seq != at:
        return ChangesAnswer(changes=changes, next=cursor, more=more)
    position = SnapshotPosition("", found[taken - 1].kind, found[taken - 1].row_id)
    return ChangesAnswer(changes=changes, next=str(Place(WITHIN, encode_position(position), cursor)), more=True)


def _resync_reason(actor: Actor, cursor: Cursor, head: SyncHead) -> str | None:
    """Why an actor cannot go on from a cursor, or None."""
    return resync_reason(
        cursor,
        epoch=head.epoch,
        seq=head.seq,
        horizon=head.horizon,
        token=_commit_token(actor.shop_id, cursor.seq),
        view=actor.view,
    )


def _as_changes(rows: Mapping[str, list[Any]]) -> list[Change]:
    return [
        Change(kind=kind, id=UUID(row["id"]), deleted=False, row=row) for kind, those in rows.items() for row in those
    ]


def device_for(actor: Actor, device_id: UUID) -> Device:
    """A device of the acting member. Raises NotFound: a device of someone else is as unknown as none."""
    own = Device.objects.filter(shop=actor.shop_id, member=actor.member_id)
    return row_among(own, device_id, field="device", lock=False)


def command_for(actor: Actor, command_id: UUID) -> LoggedCommand:
    """A command that the acting member sent. Raises NotFound."""
    found = LoggedCommand.objects.filter(shop=actor.shop_id, member=actor.member_id, id=command_id).first()
    if found is None:
        raise NotFound("command", command_id)
    return found


def count_since_retired(device: Device) -> int:
    """How many commands a device has pushed since it was signed off."""
    logged = LoggedCommand.objects.filter(shop=device.shop_id, device=device)
    return logged.filter(received_at__gte=device.revoked_at).count()


def known_row_ids(shop_id: UUID, ids: Iterable[UUID]) -> set[UUID]:
    """Those of these ids that are of rows the shop has or had."""
    known = SyncChange.objects.filter(shop_id=shop_id, kind__in=synced_kinds(), row_id__in=list(ids))
    return set(known.values_list("row_id", flat=True))


# Returns the shops in which a command waits, and nothing else of them.
WAITING_FUNCTION = """
CREATE FUNCTION shops_with_waiting_commands() RETURNS TABLE (id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT DISTINCT shop_id FROM sync_loggedcommand
    WHERE status = 'held' AND code IN ('waits_for', 'not_back_yet');
$$;
"""


def shops_with_waiting_commands() -> list[UUID]:
    """The shops in which a command waits for a row or another command."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT id FROM shops_with_waiting_commands()")
        return [row[0] for row in cursor.fetchall()]


def _held_waiting(shop_id: UUID) -> QuerySet[LoggedCommand]:
    return LoggedCommand.objects.filter(
        shop=shop_id, code__in=[HeldReason.WAITING, HeldReason.NOT_BACK], status=CommandStatus.HELD
    )


def any_waits(shop_id: UUID) -> bool:
    """Whether a held command waits for a row or a command, or did when a person left it out.

    Most shops have none: this much can be asked after every commit, at the cost of a look into a partial index.
    """
    return _held_waiting(shop_id).exists()


def waiting_commands(shop_id: UUID) -> QuerySet[LoggedCommand]:
    """Held commands that wait for a row or a command, without those that a person left out."""
    return _held_waiting(shop_id).exclude(Exists(_held_issues(shop_id).filter(state=Issue.State.RESOLVED)))


def unblocked_commands(shop_id: UUID) -> QuerySet[LoggedCommand]:
    """Waiting commands whose missing row or command has arrived, in the order in which they were received."""
    rows = SyncChange.objects.filter(shop_id=shop_id, kind__in=synced_kinds(), row_id=OuterRef("waits_for"))
    commands = LoggedCommand.objects.filter(shop=shop_id, id=OuterRef("waits_for"), status=CommandStatus.APPLIED)
    return waiting_commands(shop_id).filter(Exists(rows) | Exists(commands)).order_by("received_at", "device", "no")


def commands_awaiting_restore(shop_id: UUID) -> QuerySet[LoggedCommand]:
    """Commands that were applied before a restore and cannot be yet, in the order in which they were received."""
    return waiting_commands(shop_id).filter(code=HeldReason.NOT_BACK).order_by("received_at", "device", "no")


def is_awaited(shop_id: UUID, awaited_id: UUID) -> bool:
    """Whether a command waits for this row or command."""
    return waiting_commands(shop_id).filter(waits_for=awaited_id).exists()


def was_applied(shop_id: UUID, command_id: UUID) -> bool:
    """Whether a command of the shop was applied."""
    return LoggedCommand.objects.filter(shop=shop_id, id=command_id, status=CommandStatus.APPLIED).exists()


def last_applied(shop_id: UUID, row_id: UUID) -> UUID | None:
    """The id of the command that was applied last on a row."""
    done = LoggedCommand.objects.filter(shop=shop_id, row_id=row_id, status=CommandStatus.APPLIED)
    return done.order_by("-seq", "-carried_out_at").values_list("id", flat=True).first()


def last_applied_each(shop_id: UUID, row_ids: Iterable[UUID]) -> dict[UUID, UUID]:
    """The id of the command that was applied last, for each of these rows that has one."""
    done = LoggedCommand.objects.filter(shop=shop_id, row_id__in=list(row_ids), status=CommandStatus.APPLIED)
    latest = done.order_by("row_id", "-seq", "-carried_out_at").distinct("row_id")
    return {row_id: command_id for row_id, command_id in latest.values_list("row_id", "id") if row_id is not None}


def reviewed_commands(shop_id: UUID, command_ids: Iterable[UUID]) -> set[UUID]:
    """Those of these commands that opened an issue about what they wrote, not about themselves."""
    filed = Issue.objects.filter(shop_id=shop_id, command_id__in=list(command_ids)).exclude(entity_kind=HELD_COMMAND)
    return {found for found in filed.values_list("command_id", flat=True) if found is not None}


def overdue_commands(shop_id: UUID, *, since: datetime) -> QuerySet[LoggedCommand]:
    """Commands received before `since` that still wait and have no issue."""
    return waiting_commands(shop_id).filter(received_at__lt=since).exclude(Exists(_held_issues(shop_id)))


def _held_issues(shop_id: UUID) -> QuerySet[Issue]:
    return Issue.objects.filter(shop_id=shop_id, entity_kind=HELD_COMMAND, command_id=OuterRef("id"))


def logged_commands(shop_id: UUID, ids: Sequence[UUID]) -> dict[UUID, LoggedCommand]:
    """Those of these commands that are in the shop's log, by id."""
    return {row.id: row for row in LoggedCommand.objects.filter(shop=shop_id, id__in=ids)}


def show_issue(_actor: Actor, issue: Issue) -> IssueRow:
    reason = unpack(issue.words)
    return IssueRow.of(issue).model_copy(update={"message": reason.code, "context": plain_context(reason.context)})
