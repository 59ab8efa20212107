"""`benchmark shops`: the periodic tasks, and a list of one shop, with a growing number of shops.

The shops are copies of one that services made, row by row with ids of their own. `idle`: nothing changes. `busy`:
before each tick a job changes in one shop of a hundred, which is more than a server of that size would see in a minute.
"""

import time
from collections.abc import Callable, Iterable, Sequence
from graphlib import TopologicalSorter
from statistics import median
from uuid import UUID

from celery import current_app
from django.db import connection, connections, transaction
from django.db.backends.utils import CursorWrapper
from psycopg import sql

from shopapi.accounts.queries import every_shop
from shopapi.accounts.rules import FirstShop
from shopapi.benchmarks.recorder import PASSWORD, Recorder
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.rules.customer import NewCustomer
from shopapi.customers.services import add_customer
from shopapi.jobs.queries import jobs
from shopapi.jobs.rules import JobRow, NewJob
from shopapi.jobs.services import open_job
from shopapi.labor.rules.entry import ClockStart, EntryKind
from shopapi.labor.services.clock import start_clock
from shopapi.machines.rules import NewMachine
from shopapi.machines.services import add_machine
from shopapi.quotes.services.shop import open_shop

SIZES = (1, 1_000, 10_000)
JOBS = 10
A_COPY = 500
TICKS = 5
# Deletes what is months old, once a day: not a part of the load of a minute.
LEFT_OUT = {"sync.drop_old_rows"}


def measure_shops(figures: Recorder) -> None:
    """Each periodic task where nothing changed and where one shop in a hundred did, and a list of one shop."""
    original = _open_shop()
    lists: list[float] = []
    shares: dict[int, float] = {}
    for size in SIZES:
        _copy(original.shop_id, size - len(every_shop()))
        ids = every_shop()
        _tick_until_idle()
        idle, busy = _ticks(ids, 0), _ticks(ids, max(1, len(ids) // 100))
        for name, took in idle.items():
            figures.add(f"{name}_idle_{size}", took, "ms")
            figures.add(f"{name}_busy_{size}", busy[name], "ms")
        shares[size] = sum(median(took) / 1000 / _interval(name) for name, took in busy.items())
        lists.append(figures.measure(f"list_among_{size}", lambda: _list(original)))
    for size, share in shares.items():
        figures.ratio(f"share_of_one_worker_{size}", share)
    for size, among in zip(SIZES[1:], lists[1:], strict=True):
        figures.ratio(f"list_among_{size}_by_alone", among / lists[0])


def _open_shop() -> Actor:
    mark = uuid7()
    opening = {"shop_name": f"Bench {mark}", "zone": "UTC", "name": "Bench"}
    actor = open_shop(data=FirstShop(**opening, email=f"{mark}@bench.example", password=PASSWORD))
    for _ in range(JOBS):
        customer, machine, job = uuid7(), uuid7(), uuid7()
        add_customer(actor=actor, data=NewCustomer(id=customer, name="Bench"))
        add_machine(actor=actor, data=NewMachine(id=machine, customer_id=customer, kind="garden tractor"))
        open_job(actor=actor, data=NewJob(id=job, customer_id=customer, machine_id=machine))
    start_clock(actor=actor, data=ClockStart(id=uuid7(), kind=EntryKind.REPAIR, job_id=job, started_at=now()))
    return actor


def _copy(original: UUID, count: int) -> None:
    """Copy every row of a shop so many times. The ids of a copy follow from its shop's and the original's."""
    for begin in range(0, count, A_COPY):
        ids = [uuid7() for _ in range(min(A_COPY, count - begin))]
        with transaction.atomic("owner"), connections["owner"].cursor() as cursor:
            # Copied rows are in the copied index of changes.
            tables = _tables(cursor, original)
            for table in tables:
                cursor.execute(sql.SQL("ALTER TABLE {} DISABLE TRIGGER USER").format(sql.Identifier(table)))
            for table, columns in tables.items():
                cursor.execute(_copy_of(table, columns), {"ids": ids, "original": original})
            # Deferred constraints are checked before a table may be altered.
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            for table in tables:
                cursor.execute(sql.SQL("ALTER TABLE {} ENABLE TRIGGER USER").format(sql.Identifier(table)))
    with connections["owner"].cursor() as cursor:
        # Autovacuum would come by itself, but not before the first figure.
        cursor.execute("ANALYZE")


def _tables(cursor: CursorWrapper, original: UUID) -> dict[str, list[tuple[str, str]]]:
    """The tables with rows of the shop, each with its columns and types, in the order in which rows can be added."""
    cursor.execute(
        "SELECT c.relname, a.attname, format_type(a.atttypid, NULL)"
        " FROM pg_attribute a JOIN pg_class c ON c.oid = attrelid"
        " WHERE c.relkind = 'r' AND relnamespace = 'public'::regnamespace AND attnum > 0 AND NOT attisdropped"
        " AND attidentity = '' AND attgenerated = '' AND (c.relname = 'accounts_shop' OR EXISTS ("
        "   SELECT FROM pg_attribute o WHERE o.attrelid = c.oid AND o.attname = 'shop_id')) ORDER BY 1, attnum"
    )
    tables: dict[str, list[tuple[str, str]]] = {}
    for table, column, kind in cursor.fetchall():
        tables.setdefault(table, []).append((column, kind))
    return {table: tables[table] for table in _in_order(cursor, tables) if _has_rows(cursor, table, original)}


def _in_order(cursor: CursorWrapper, tables: Iterable[str]) -> list[str]:
    """The tables, each after those that its foreign keys refer to."""
    cursor.execute("SELECT conrelid::regclass::text, confrelid::regclass::text FROM pg_constraint WHERE contype = 'f'")
    order: TopologicalSorter[str] = TopologicalSorter(dict.fromkeys(tables, ()))
    for table, referred in cursor.fetchall():
        if table != referred and {table, referred} <= set(tables):
            order.add(table, referred)
    return list(order.static_order())


def _has_rows(cursor: CursorWrapper, table: str, shop_id: UUID) -> bool:
    query = sql.SQL("SELECT EXISTS (SELECT FROM {} WHERE {} = %s)")
    cursor.execute(query.format(sql.Identifier(table), sql.Identifier(_shop_column(table))), [shop_id])
    return bool(cursor.fetchone()[0])


def _shop_column(table: str) -> str:
    return "id" if table == "accounts_shop" else "shop_id"


def _copy_of(table: str, columns: Sequence[tuple[str, str]]) -> sql.Composed:
    values: list[sql.Composable] = []
    for column, kind in columns:
        name = sql.Identifier("o", column)
        if column == _shop_column(table):
            values.append(sql.SQL("n.id"))
        # A user belongs to no shop: the same one is a member of every copy.
        elif kind == "uuid" and column != "user_id":
            # Settings and price book have the id of their shop.
            copied = "CASE {0} WHEN %(original)s THEN n.id ELSE md5(n.id::text || {0}::text)::uuid END"
            values.append(sql.SQL(copied).format(name))
        else:
            values.append(name)
    return sql.SQL(
        "INSERT INTO {table} ({columns}) SELECT {values} FROM {table} o CROSS JOIN unnest(%(ids)s) n (id)"
        " WHERE o.{shop} = %(original)s"
    ).format(
        table=sql.Identifier(table),
        columns=sql.SQL(", ").join(sql.Identifier(column) for column, _ in columns),
        values=sql.SQL(", ").join(values),
        shop=sql.Identifier(_shop_column(table)),
    )


def _tick_until_idle() -> None:
    """Two rounds: what the first changes, the second sees."""
    for _ in range(2):
        for tick in _tasks().values():
            tick()


def _tasks() -> dict[str, Callable[[], object]]:
    # A worker does this as it starts.
    current_app.loader.import_default_modules()
    return {name: current_app.tasks[name] for name in current_app.conf.beat_schedule if name not in LEFT_OUT}


def _interval(task: str) -> float:
    seconds: float = current_app.conf.beat_schedule[task]["schedule"].total_seconds()
    return seconds


def _ticks(ids: Sequence[UUID], changing: int) -> dict[str, list[float]]:
    """The milliseconds of each task, several times, each time after a job of so many shops has changed."""
    found: dict[str, list[float]] = {}
    for number in range(TICKS):
        for shop_id in ids[:: max(1, len(ids) // changing)][:changing] if changing else ():
            with in_shop(shop_id):
                _change_a_job(number)
        for name, tick in _tasks().items():
            began = time.perf_counter()
            tick()
            found.setdefault(name, []).append((time.perf_counter() - began) * 1000)
    return found


def _change_a_job(number: int) -> None:
    with connection.cursor() as cursor:
        cursor.execute("UPDATE jobs_job SET notes = %s WHERE id = (SELECT id FROM jobs_job LIMIT 1)", [str(number)])


def _list(actor: Actor) -> int:
    with in_shop(actor.shop_id):
        return len([JobRow.of(job) for job in jobs(actor).order_by("-id")[:50]])
