"""Work after the commit: a row first, a task second. The broker is a doorbell; the outbox is the record.

A task is named `app.verb_noun`, takes (shop_id, outbox_id), and marks its row done in the transaction of its effect.
What the broker loses, the sweep sends again.
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
from shopapi.core.shape import plain
from shopapi.core.tenancy import in_shop

log = logging.getLogger("shopapi.core")

MAX_ATTEMPTS = 8
# The commit itself rings once; the sweep takes over if nothing has come of it by then.
FIRST_SWEEP = timedelta(seconds=10)
# The sweep comes every few seconds: what is due and has not been rung for in this long is rung for by nobody.
LATE = timedelta(seconds=60)

# Rows of every shop that are due: claimed for a growing while, so that a lost send is only late, never lost.
# The application sees the outbox of one shop at a time; this function gives the sweep ids and names, no content.
DUE_FUNCTION = """
CREATE FUNCTION outbox_due(most integer, max_attempts integer) RETURNS TABLE (id uuid, shop_id uuid, task varchar)
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH spent AS (
        UPDATE core_outbox SET given_up_at = now()
        WHERE done_at IS NULL AND given_up_at IS NULL AND run_after <= now() AND attempts >= max_attempts
    )
    UPDATE core_outbox o SET attempts = o.attempts + 1,
        run_after = now() + least(3 * 2 ^ o.attempts, 60) * interval '1 second'
    WHERE o.id IN (
        SELECT d.id FROM core_outbox d
        WHERE d.done_at IS NULL AND d.given_up_at IS NULL AND d.run_after <= now() AND d.attempts < max_attempts
        ORDER BY d.run_after LIMIT most FOR UPDATE SKIP LOCKED
    )
    RETURNING o.id, o.shop_id, o.task;
$$;
"""

# How long the row that is due longest has waited, of every shop: a length of time and nothing else leaves it.
OVERDUE_FUNCTION = """
CREATE FUNCTION outbox_overdue() RETURNS interval
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT coalesce(now() - min(run_after), interval '0') FROM core_outbox
    WHERE done_at IS NULL AND given_up_at IS NULL AND run_after <= now();
$$;
"""


def after_commit(task: str, *, shop_id: UUID, at: datetime | None = None, **args: object) -> None:
    """Promise that the named task runs after the running transaction commits, with these arguments.

    With `at`, not before that instant: the sweep rings then, within seconds.

    A promise of the same that is still owed stands for this one too: a task does what is due when it runs. (A task
    that finds its ground changed under it raises, and runs again.) The caller holds the shop's place in line.
    """
    present = now()
    due = at if at is not None and at > present else present
    owed = Outbox.objects.filter(shop_id=shop_id, task=task, args=plain(args), done_at=None, given_up_at=None)
    # One that has not been rung for yet, and waits for a later time than this, does not stand for it.
    if owed.exclude(attempts=0, run_after__gt=due).exists():
        return
    if due > present:
        Outbox.objects.create(shop_id=shop_id, task=task, args=plain(args), run_after=due)
        return
    row = Outbox.objects.create(
        shop_id=shop_id, task=task, args=plain(args), attempts=1, run_after=present + FIRST_SWEEP
    )
    transaction.on_commit(lambda: ring(task, shop_id, row.id))


def ring(task: str, shop_id: UUID, outbox_id: UUID) -> None:
    """Tell a worker that a row waits. A broker that is down is no error: the sweep rings again."""
    try:
        current_app.send_task(task, args=[str(shop_id), str(outbox_id)], retry=False)
    except OperationalError:
        return


@contextmanager
def claimed(shop_id: str, outbox_id: str) -> Iterator[dict[str, Any] | None]:
    """Hold one outbox row for a task: yields its arguments, or None when it is done, given up or held elsewhere.

    Leaving the block without an error marks the row done in the same transaction as the effect.
    """
    with in_shop(UUID(shop_id)):
        row = (
            Outbox.objects.select_for_update(skip_locked=True)
            .filter(id=outbox_id, done_at__isnull=True, given_up_at__isnull=True)
            .first()
        )
        yield None if row is None else row.args
        if row is not None:
            row.done_at = now()
            row.save(update_fields=["done_at"])


def sweep(most: int = 100) -> int:
    """Ring for every row that is due; returns how many. Two sweeps at once are harmless."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT id, shop_id, task FROM outbox_due(%s, %s)", [most, MAX_ATTEMPTS])
        due = cursor.fetchall()
    for outbox_id, shop_id, task in due:
        ring(task, shop_id, outbox_id)
    return len(due)


def overdue() -> timedelta:
    """How long the oldest promise that is due waits to be rung for: it grows once no worker or no beat runs."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT outbox_overdue()")
        (waited,) = cursor.fetchone()
    return timedelta(seconds=waited.total_seconds())


class SomeShopsFailed(Exception):
    """Work of the beat failed in some shops; the log says why in each, just before."""


def in_each_shop(shop_ids: Iterable[UUID], work: Callable[[UUID], None]) -> None:
    """Do what the beat asks for in each shop; one in which it fails stops none of the others.

    `work` opens the shop's transaction itself. Raises SomeShopsFailed at the end, so that the task counts as failed.
    """
    # In no fixed order: what cuts the task off must not keep the same shops waiting every time.
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
