"""What devices are given: the changes since a cursor, or everything in pages. Each answer is of one frozen moment."""

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any
from uuid import UUID

from django.db.models import Max, Q, QuerySet

from shopapi.accounts import queries as accounts
from shopapi.accounts.models import Device
from shopapi.core.actor import Actor
from shopapi.core.errors import Invalid, NotFound
from shopapi.core.models import Issue, SyncChange, SyncCommit, SyncHead
from shopapi.core.shape import Row, plain
from shopapi.customers import queries as customers
from shopapi.dispatch import queries as dispatch
from shopapi.files import queries as files
from shopapi.jobs import queries as jobs
from shopapi.labor import queries as labor
from shopapi.labor.queries.history import show_work_history, work_histories
from shopapi.machines import queries as machines
from shopapi.notices import queries as notices
from shopapi.quotes import queries as quotes
from shopapi.quotes.queries import asking
from shopapi.reminders import queries as reminders
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules import Cursor, IssueRow, decode_after, encode_after, parse_cursor, why_resync

WINDOW = 1000
SNAPSHOT_PAGE = 500
BEFORE_ALL = UUID(int=0)


@dataclass(frozen=True)
class Kind:
    """How rows of one kind are read and shown."""

    rows: Callable[[Actor], QuerySet[Any]]
    show: Callable[[Actor, Any], Row]


def issues(actor: Actor) -> QuerySet[Issue]:
    return Issue.objects.filter(shop_id=actor.shop_id)


def show_issue(actor: Actor, issue: Issue) -> IssueRow:
    return IssueRow.of(issue)


# In the order in which a new device needs them.
KINDS: Mapping[str, Kind] = {
    "shop": Kind(accounts.shops, accounts.show_shop),
    "member": Kind(accounts.members, accounts.show_member),
    "customer": Kind(customers.customers, customers.show_customer),
    "site": Kind(customers.sites, customers.show_site),
    "machine": Kind(machines.machines, machines.show_machine),
    "job": Kind(jobs.jobs, jobs.show_job),
    "complaint": Kind(jobs.complaints, jobs.show_complaint),
    "finding": Kind(jobs.findings, jobs.show_finding),
    "time_entry": Kind(labor.time_entries, labor.show_entry),
    "quote": Kind(quotes.quotes, quotes.show_quote),
    "quote_line": Kind(quotes.lines, quotes.show_line),
    "approval": Kind(quotes.approvals, quotes.show_approval),
    "signature": Kind(quotes.signatures, quotes.show_signature),
    "approval_link": Kind(asking.links, asking.show_link),
    "owner_question": Kind(asking.questions, asking.show_question),
    "work_history": Kind(work_histories, show_work_history),
    "yard": Kind(dispatch.yards, dispatch.show_yard),
    "rig": Kind(dispatch.rigs, dispatch.show_rig),
    "run": Kind(dispatch.runs, dispatch.show_run),
    "stop": Kind(dispatch.stops, dispatch.show_stop),
    "hand_over": Kind(dispatch.hand_overs, dispatch.show_hand_over),
    "plan_request": Kind(dispatch.plans, dispatch.show_plan),
    "printout": Kind(dispatch.printouts, dispatch.show_printout),
    "issue": Kind(issues, show_issue),
    "attachment": Kind(files.attachments, files.show_attachment),
    "follow_up": Kind(reminders.follow_ups, reminders.show_follow_up),
    "notice": Kind(notices.notices, notices.show_notice),
    "notice_template": Kind(notices.templates, notices.show_template),
    "opt_out": Kind(notices.opt_outs, notices.show_opt_out),
    "meter_reading": Kind(machines.meter_readings, machines.show_reading),
}


@dataclass(frozen=True)
class Pulled:
    """Rows by kind, tombstones, the cursor after them, and whether more waits."""

    rows: dict[str, list[Any]]
    gone: list[tuple[str, UUID]]
    cursor: str
    more: bool


def pull(actor: Actor, cursor_text: str, *, max_bytes: int) -> Pulled | str | None:
    """What changed since a cursor: rows, or the reason for a new snapshot, or None for nothing.

    Runs inside `in_shop_snapshot`. A page is cut between commits, never within one: what was written together
    arrives together. At least one commit is given, however large.
    """
    cursor = parse_cursor(cursor_text)
    if cursor is None:
        return "fork"
    head = SyncHead.objects.get(shop_id=actor.shop_id)
    reason = why_resync(
        cursor,
        epoch=head.epoch,
        seq=head.seq,
        horizon=head.horizon,
        token=_token(actor.shop_id, cursor.seq),
        view=actor.view,
    )
    if reason is not None:
        return reason
    if cursor.seq == head.seq:
        return None
    changes = _window(actor.shop_id, cursor.seq)
    shown = _show(actor, changes)
    rows: dict[str, list[Any]] = {}
    gone: list[tuple[str, UUID]] = []
    used, last = 0, cursor.seq
    for seq, group in groupby(changes, key=lambda change: change.seq):
        of_commit = list(group)
        # A change may be of a row that is not this member's to see.
        seen = [change for change in of_commit if change.dead or (change.kind, change.row_id) in shown]
        size = sum(shown[change.kind, change.row_id][1] for change in seen if not change.dead)
        if last != cursor.seq and used + size > max_bytes:
            break
        used, last = used + size, seq
        for change in seen:
            if change.dead:
                gone.append((change.kind, change.row_id))
            else:
                rows.setdefault(change.kind, []).append(shown[change.kind, change.row_id][0])
    more = SyncChange.objects.filter(shop_id=actor.shop_id, seq__gt=last).exists()
    at = last if more else head.seq
    token = _token(actor.shop_id, at) or ""
    return Pulled(rows, gone, str(Cursor(head.epoch, at, token, actor.view)), more)


def _window(shop_id: UUID, after: int) -> list[SyncChange]:
    """The next changes in commit order: whole commits only, and one at least."""
    following = SyncChange.objects.filter(shop_id=shop_id, seq__gt=after).order_by("seq", "kind", "row_id")
    found = list(following[: WINDOW + 1])
    if len(found) <= WINDOW:
        return found
    cut = found[-1].seq
    whole = [change for change in found if change.seq < cut]
    return whole or list(following.filter(seq=cut))


def _show(actor: Actor, changes: Iterable[SyncChange]) -> dict[tuple[str, UUID], tuple[Any, int]]:
    """The rows behind changes as the actor sees them, each with its size in bytes: one query a kind."""
    shown = {}
    living = sorted((change for change in changes if not change.dead), key=lambda change: change.kind)
    for kind_name, group in groupby(living, key=lambda change: change.kind):
        kind = KINDS[kind_name]
        for instance in kind.rows(actor).filter(id__in=[change.row_id for change in group]):
            row = plain(kind.show(actor, instance))
            shown[kind_name, instance.id] = (row, len(json.dumps(row)))
    return shown


def _token(shop_id: UUID, seq: int) -> str | None:
    found = SyncCommit.objects.filter(shop_id=shop_id, seq=seq).values_list("token", flat=True).first()
    return None if found is None else str(found)


@dataclass(frozen=True)
class Page:
    """One page of a snapshot; `cursor` is where to pull from afterwards, given with the first page."""

    rows: dict[str, list[Any]]
    after: str | None
    cursor: str


def snapshot(actor: Actor, after_text: str) -> Page:
    """Everything the actor may see, a page at a time in a fixed order. Runs inside `in_shop_snapshot`.

    What changes while the pages are read is told by a pull from the first page's cursor.
    """
    kinds = list(KINDS)
    kind_name, row_id = kinds[0], None
    if after_text:
        place = decode_after(after_text)
        if place is None or place[0] not in KINDS:
            raise Invalid("invalid", "This place in the snapshot is unknown; begin again without “after”.")
        kind_name, row_id = place
    rows: dict[str, list[Any]] = {}
    left = SNAPSHOT_PAGE
    after = None
    for name in kinds[kinds.index(kind_name) :]:
        kind = KINDS[name]
        beyond = Q(id__gt=row_id) if row_id is not None and name == kind_name else Q()
        found = list(kind.rows(actor).filter(beyond).order_by("id")[: left + 1])
        if found[:left]:
            rows[name] = [plain(kind.show(actor, instance)) for instance in found[:left]]
        if len(found) > left:
            # A page that is full before this kind begins goes on at its very beginning.
            after = encode_after(name, found[left - 1].id if left else BEFORE_ALL)
            break
        left -= len(found)
    head = SyncHead.objects.get(shop_id=actor.shop_id)
    token = _token(actor.shop_id, head.seq) or ""
    return Page(rows, after, str(Cursor(head.epoch, head.seq, token, actor.view)))


def device_for(actor: Actor, device_id: UUID) -> Device:
    """A device of the acting member. Raises NotFound: a device of someone else is as unknown as none."""
    device = Device.objects.filter(shop=actor.shop_id, member=actor.member_id, id=device_id).first()
    if device is None:
        raise NotFound("device", device_id, field="device")
    return device


def safe_no(actor: Actor, device_id: UUID) -> int:
    """The last number of a device that a verified backup holds; 0 while no backup has been reported."""
    safe_at = SyncHead.objects.values_list("safe_at", flat=True).get(shop_id=actor.shop_id)
    if safe_at is None:
        return 0
    logged = LoggedCommand.objects.filter(shop=actor.shop_id, device=device_id, received_at__lte=safe_at)
    return logged.aggregate(last=Max("no"))["last"] or 0


def command_for(actor: Actor, command_id: UUID) -> LoggedCommand:
    """A command that the acting member gave. Raises NotFound."""
    found = LoggedCommand.objects.filter(shop=actor.shop_id, member=actor.member_id, id=command_id).first()
    if found is None:
        raise NotFound("command", command_id)
    return found


def kept_of_retired(device: Device) -> int:
    """How many commands of a device were taken in since it was signed off, held or carried out."""
    logged = LoggedCommand.objects.filter(shop=device.shop_id, device=device)
    return logged.filter(received_at__gte=device.revoked_at).count()


def rows_waited_for(shop_id: UUID) -> set[UUID]:
    """The ids of rows that held commands wait for."""
    waiting = LoggedCommand.objects.filter(shop=shop_id, waits_for__isnull=False)
    return {row_id for row_id in waiting.values_list("waits_for", flat=True) if row_id is not None}


def logged(shop_id: UUID, ids: Sequence[UUID]) -> dict[UUID, LoggedCommand]:
    """The commands of the shop that are recorded already, by id."""
    return {row.id: row for row in LoggedCommand.objects.filter(shop=shop_id, id__in=ids)}
