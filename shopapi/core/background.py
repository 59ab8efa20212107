"""Work after the commit: a transactional outbox. A row in the database is the record; the broker only wakes a worker.

A task is named `app.verb_noun`, takes (shop_id, outbox_id), and marks its row done in the transaction of its effect.
A wake-up may be lost: the sweep, which runs every few seconds, sends it again with growing delays. A row that was
executed MAX_ATTEMPTS times and is not done counts as failed and is not sent any more; wake-ups that no worker came to
take do not count.
"""

import logging
import random
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from celery import current_app
from celery.exceptions import SoftTimeLimitExceeded
from django.db import connection, transaction
from kombu.exceptions import OperationalError

from shopapi.core.clock import now
from shopapi.core.models import Outbox
from shopapi.core.schema import to_json
from shopapi.core.tenancy import in_shop

log = logging.getLogger("shopapi.core")

MAX_ATTEMPTS = 8
# The commit itself wakes a worker once; the sweep takes over if the row is not done by then.
FIRST_SWEEP = timedelta(seconds=10)
# A row due for longer than this shows that no worker or no beat runs.
LATE = timedelta(seconds=60)

# Due rows of every shop, claimed for a growing time: a lost wake-up only delays the task.
# The application sees the outbox of one shop at a time; this function gives the sweep only ids and task names.
DUE_FUNCTION = """
CREATE OR REPLACE FUNCTION outbox_due(most integer, max_attempts integer)
RETURNS TABLE (id uuid, shop_id uuid, task varchar)
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH spent AS (
        UPDATE core_outbox SET given_up_at = now()
        WHERE done_at IS NULL AND given_up_at IS NULL AND run_after <= now() AND attempts >= max_attempts
    )
    UPDATE core_outbox o SET wake_ups = o.wake_ups + 1,
        run_after = now() + 3 * least(2 ^ least(o.wake_ups, 5), 20) * interval '1 second'
    WHERE o.id IN (
        SELECT d.id FROM core_outbox d
        WHERE d.done_at IS NULL AND d.given_up_at IS NULL AND d.run_after <= now() AND d.attempts < max_attempts
        ORDER BY d.run_after LIMIT most FOR UPDATE SKIP LOCKED
    )
    RETURNING o.id, o.shop_id, o.task;
$$;
"""

# How long the oldest due row of any shop has waited; returns nothing else of other shops.
OVERDUE_FUNCTION = """
CREATE FUNCTION outbox_overdue() RETURNS interval
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT coalesce(now() - min(run_after), interval '0') FROM core_outbox
    WHERE done_at IS NULL AND given_up_at IS NULL AND run_after <= now();
$$;
"""

# How many rows of all shops are pending and how many failed; returns nothing else of them.
COUNTS_FUNCTION = """
CREATE FUNCTION outbox_counts() RETURNS TABLE (pending bigint, failed bigint)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT count(*) FILTER (WHERE given_up_at IS NULL), count(*) FILTER (WHERE given_up_at IS NOT NULL)
    FROM core_outbox WHERE done_at IS NULL;
$$;
"""


def after_commit(task: str, *, shop_id: UUID, at: datetime | None = None, **args: object) -> None:
    """Enqueue the named task, with these arguments, to run after the current transaction commits.

    With `at`, not before that instant: the sweep then wakes a worker within seconds.

    A pending row for the same task and arguments is reused: a task does whatever is due when it runs. (A task whose
    data changes while it runs raises, and runs again.) The caller holds the shop's write lock.
    """
    present = now()
    due = at if at is not None and at > present else present
    pending = Outbox.objects.filter(shop_id=shop_id, task=task, args=to_json(args), done_at=None, failed_at=None)
    # One that was never sent and is due later than this does not count.
    if pending.exclude(wake_ups=0, run_after__gt=due).exists():
        return
    if due > present:
        Outbox.objects.create(shop_id=shop_id, task=task, args=to_json(args), run_after=due)
        return
    row = Outbox.objects.create(
        shop_id=shop_id, task=task, args=to_json(args), wake_ups=1, run_after=present + FIRST_SWEEP
    )
    transaction.on_commit(lambda: notify_worker(task, shop_id, row.id))


def notify_worker(task: str, shop_id: UUID, outbox_id: UUID) -> None:
    """Send a wake-up for one row. It may be lost, also because the broker is down: the sweep sends another."""
    try:
        current_app.send_task(task, args=[str(shop_id), str(outbox_id)], retry=False)
    except OperationalError:
        return


@contextmanager
def claimed(shop_id: str, outbox_id: str, *, counted: bool = False) -> Iterator[dict[str, Any] | None]:
    """Lock one outbox row for a task: yields its arguments, or None when it is done, failed or locked elsewhere.

    Leaving the block without an error marks the row done in the same transaction as the effect. The attempt is counted
    in a transaction before that one, so that it counts even if the worker is killed; `counted`: it is already
    (`pending_args`).
    """
    if not counted:
        _count_attempt(shop_id, outbox_id)
    with in_shop(UUID(shop_id)):
        row = (
            Outbox.objects.select_for_update(skip_locked=True)
            .filter(id=outbox_id, done_at__isnull=True, failed_at__isnull=True)
            .first()
        )
        yield None if row is None else row.args
        if row is not None:
            row.done_at = now()
            row.save(update_fields=["done_at"])


def pending_args(shop_id: str, outbox_id: str) -> dict[str, Any] | None:
    """The arguments of a row that is not done, without locking it; None when it is done or failed. Counts an attempt.

    For a task that asks another program between two transactions: it reads here, asks, and stores under `claimed`,
    where a second worker with the same row finds it done.
    """
    _count_attempt(shop_id, outbox_id)
    with in_shop(UUID(shop_id)):
        row = Outbox.objects.filter(id=outbox_id, done_at__isnull=True, failed_at__isnull=True).first()
        return None if row is None else row.args


def _count_attempt(shop_id: str, outbox_id: str) -> None:
    """Count one execution of a row, unless it is done, failed, or being executed elsewhere."""
    with in_shop(UUID(shop_id)):
        pending = Outbox.objects.select_for_update(skip_locked=True).filter(
            done_at__isnull=True, failed_at__isnull=True
        )
        row = pending.filter(id=outbox_id).first()
        if row is not None:
            row.attempts += 1
            row.save(update_fields=["attempts"])


def sweep(most: int = 100) -> int:
    """Wake workers for every row that is due; returns how many. Two sweeps at once are harmless."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT id, shop_id, task FROM outbox_due(%s, %s)", [most, MAX_ATTEMPTS])
        due = cursor.fetchall()
    for outbox_id, shop_id, task in due:
        notify_worker(task, shop_id, outbox_id)
    return len(due)


def overdue() -> timedelta:
    """How long the oldest due row has waited to be sent: it grows once no worker or no beat runs."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT outbox_overdue()")
        (waited,) = cursor.fetchone()
    return timedelta(seconds=waited.total_seconds())


def outbox_counts() -> tuple[int, int]:
    """How many rows of all shops are pending, and how many failed."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pending, failed FROM outbox_counts()")
        pending, failed = cursor.fetchone()
    return pending, failed


class SomeShopsFailed(Exception):
    """Periodic work failed in some shops; the log says why for each, just before."""


def in_each_shop(shop_ids: Iterable[UUID], work: Callable[[UUID], None]) -> None:
    """Do periodic work in each shop; a failure in one does not stop the others.

    `work` opens the shop's transaction itself. Raises SomeShopsFailed at the end, so that the task counts as failed.
    """
    # In random order: a time limit that ends the task early must not starve the same shops every time.
    waiting = list(shop_ids)
    random.shuffle(waiting)
    failed = 0
    for shop_id in waiting:
        try:
            work(shop_id)
        except SoftTimeLimitExceeded:
            raise
        except Exception:
            log.exception("%s failed in shop %s", work.__name__, shop_id)
            failed += 1
            # A connection that broke would fail in every shop behind; the next one opens its own.
            if not connection.is_usable():
                connection.close()
    if failed:
        raise SomeShopsFailed(f"{work.__name__} failed in {failed} of {len(waiting)} shops")
