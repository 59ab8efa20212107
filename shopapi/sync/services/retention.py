"""What is deleted once it is old: traces of finished work, never business records. In batches, each a transaction."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.contrib.sessions.models import Session
from django.db import connection

from shopapi.core.clock import now
from shopapi.core.models import Outbox, Receipt
from shopapi.core.tenancy import in_shop
from shopapi.sync.models import LoggedCommand
from shopapi.sync.rules.outcomes import CommandStatus

BATCH = 1_000
DROPPED = "dropped"
"""In the arguments of a logged command: all of them but the row's id were deleted."""


@dataclass(frozen=True)
class KeepDays:
    """For how many days each kind of trace is kept.

    `outbox`: background work that is done (what failed: four times as long). `receipts`: answers to REST writes by
    their Idempotency-Key. `changes`: commits and removals; a device that was away for longer takes a snapshot.
    `commands`: the arguments of logged commands. `audit`: who did what.
    """

    outbox: int
    receipts: int
    changes: int
    commands: int
    audit: int


def drop_old_rows(*, shop_id: UUID, keep: KeepDays, batch: int = BATCH) -> dict[str, int]:
    """Delete what is older than `keep` in one shop, each batch in a transaction; returns how many rows of each kind."""
    present = now()

    def before(days: int) -> datetime:
        return present - timedelta(days=days)

    steps: dict[str, Callable[[], int]] = {
        "outbox": lambda: _drop_outbox(shop_id, before(keep.outbox), before(4 * keep.outbox), batch),
        "receipts": lambda: _drop_receipts(shop_id, before(keep.receipts), batch),
        "changes": lambda: _call("feed_forget", shop_id, before(keep.changes), batch),
        "commands": lambda: _drop_arguments(shop_id, before(keep.commands), batch),
        "audit": lambda: _call("audit_forget", shop_id, before(keep.audit), batch),
    }
    return {name: dropped for name, step in steps.items() if (dropped := _repeat(shop_id, step))}


def drop_ended_sessions() -> int:
    """Delete sessions that have expired; returns how many."""
    dropped, _ = Session.objects.filter(expire_date__lt=now()).delete()
    return dropped


def _repeat(shop_id: UUID, step: Callable[[], int]) -> int:
    total = 0
    while True:
        with in_shop(shop_id):
            dropped = step()
        total += dropped
        if not dropped:
            return total


def _drop_outbox(shop_id: UUID, done_before: datetime, failed_before: datetime, batch: int) -> int:
    rows = Outbox.objects.filter(shop_id=shop_id)
    old = rows.filter(done_at__lt=done_before) | rows.filter(done_at=None, failed_at__lt=failed_before)
    return Outbox.objects.filter(id__in=list(old.values_list("id", flat=True)[:batch])).delete()[0]


def _drop_receipts(shop_id: UUID, before: datetime, batch: int) -> int:
    old = Receipt.objects.filter(shop_id=shop_id, created_at__lt=before)
    keys = list(old.values_list("key", flat=True)[:batch])
    return Receipt.objects.filter(shop_id=shop_id, key__in=keys).delete()[0]


def _drop_arguments(shop_id: UUID, before: datetime, batch: int) -> int:
    """Delete the arguments of old commands; number, digest and outcome stay, by which a repetition is answered."""
    old = LoggedCommand.objects.filter(shop_id=shop_id, received_at__lt=before).exclude(args__has_key=DROPPED)
    rows = list(old.exclude(status=CommandStatus.HELD).only("id", "args")[:batch])
    for row in rows:
        row.args = {DROPPED: True} | {name: row.args[name] for name in ("id",) if name in row.args}
    LoggedCommand.objects.bulk_update(rows, ["args"])
    return len(rows)


def _call(function: str, shop_id: UUID, before: datetime, batch: int) -> int:
    """One of the functions that delete what the application itself may not; each has an age below which it refuses."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {function}(%s, %s, %s)", [shop_id, before, batch])
        (dropped,) = cursor.fetchone()
    return int(dropped)
