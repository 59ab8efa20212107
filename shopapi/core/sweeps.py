"""Periodic work in the shops that need it: something was committed there since the last visit, or a time has come.

What such work costs grows with what changed, not with the number of shops.
"""

from collections.abc import Callable, Collection
from datetime import datetime
from uuid import UUID

from django.db import connection

from shopapi.core.background import in_each_shop
from shopapi.core.clock import now
from shopapi.core.tenancy import in_shop

# Returns the shops that a task has to visit, each with its newest commit, and nothing else of them. A shop that the
# task never visited is among them. Where no row of the named kinds changed, the visit is skipped and noted.
DUE_FUNCTION = """
CREATE FUNCTION shops_due(of_task text, of_kinds text[], at_time timestamptz) RETURNS TABLE (shop_id uuid, seq bigint)
LANGUAGE sql VOLATILE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH changed AS (
        SELECT h.shop_id, h.seq, v.seq IS NULL OR v.due_at <= at_time OR of_kinds IS NULL OR EXISTS (
            SELECT FROM core_syncchange c
            WHERE c.shop_id = h.shop_id AND c.seq > v.seq AND c.kind = ANY (of_kinds)
        ) AS due
        FROM core_synchead h LEFT JOIN core_sweepvisit v ON v.shop_id = h.shop_id AND v.task = of_task
        WHERE v.seq IS DISTINCT FROM h.seq OR v.due_at <= at_time
    ), skipped AS (
        UPDATE core_sweepvisit v SET seq = c.seq FROM changed c
        WHERE v.shop_id = c.shop_id AND v.task = of_task AND NOT c.due
    )
    SELECT c.shop_id, c.seq FROM changed c WHERE c.due;
$$;
"""
VISITED = """
    INSERT INTO core_sweepvisit (shop_id, task, seq, due_at) VALUES (%s, %s, %s, %s)
    ON CONFLICT (shop_id, task) DO UPDATE SET seq = excluded.seq, due_at = excluded.due_at
"""


def shops_due(task: str, kinds: Collection[str] | None = None) -> dict[UUID, int]:
    """The shops that the task has to visit, each with its newest commit; `kinds` as in `in_shops_due`."""
    with connection.cursor() as cursor:
        named = None if kinds is None else list(kinds)
        cursor.execute("SELECT shop_id, seq FROM shops_due(%s, %s, %s)", [task, named, now()])
        return dict(cursor.fetchall())


def in_shops_due(task: str, work: Callable[[UUID], datetime | None], *, kinds: Collection[str] | None = None) -> None:
    """Do periodic work in each shop that is due; a failure in one does not stop the others.

    `work` opens the shop's transaction itself and returns when the shop is due again even if nothing is committed
    there until then; None: never, a past instant: each time. Where it fails the shop stays due. `kinds`: the kinds of
    rows whose change makes a shop due (None: any).

    A commit while `work` runs, its own included, counts as one after it.

    Raises:
        SomeShopsFailed: at the end.
    """
    due = shops_due(task, kinds)

    def visit(shop_id: UUID) -> None:
        due_at = work(shop_id)
        with in_shop(shop_id), connection.cursor() as cursor:
            cursor.execute(VISITED, [shop_id, task, due[shop_id], due_at])

    visit.__name__ = work.__name__
    in_each_shop(due, visit)
