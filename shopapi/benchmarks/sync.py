"""`benchmark sync`: push, pull and first pull in a shop of growing size.

Each step runs what the protocol's views run, in this process: what a web server and a line add is not in it.
"""

import gzip
import json
import resource
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from itertools import count
from statistics import median
from uuid import UUID

from django.db import connection, connections, transaction
from django.db.models import Model

from shopapi.accounts.rules import FirstShop, NewDevice
from shopapi.accounts.services.devices import register_device
from shopapi.benchmarks.recorder import PASSWORD, REPEATS, Recorder
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.models import AuditEvent
from shopapi.core.tenancy import in_shop, in_shop_snapshot
from shopapi.customers.models import Customer
from shopapi.quotes.services.shop import open_shop
from shopapi.sync import queries
from shopapi.sync.rules.push import CHUNK_SIZE, MAX_COMMANDS, Envelope, Push
from shopapi.sync.services.push import push_commands

COMMANDS = 1_000
CHANGES = 10
MOST_BYTES = 300_000
A_WRITE = 5_000


def measure_sync(figures: Recorder, sizes: Sequence[int]) -> None:
    """Push 1,000 commands, then grow the shop to each size and pull: 10 changes, nothing, and at last everything."""
    actor, device = _new_shop()
    _measure_push(figures, actor, device)
    deltas = {}
    for rows in sorted(sizes):
        _grow_to(actor.shop_id, rows)
        cursor = _cursor(actor)
        figures.measure(f"empty_pull.{rows}", partial(_pull, actor, cursor))
        with in_shop(actor.shop_id):
            changed = list(Customer.objects.values_list("id", flat=True)[:CHANGES])
            Customer.objects.filter(id__in=changed).update(notes=f"At {rows} rows")
        deltas[rows] = figures.measure(f"pull_of_{CHANGES}.{rows}", partial(_pull, actor, cursor))
    figures.ratio("delta_of_largest_per_smallest", deltas[max(sizes)] / deltas[min(sizes)])
    _measure_first_pull(figures, actor)


def _measure_push(figures: Recorder, actor: Actor, device: UUID) -> None:
    numbers = count(1)
    _push(actor, device, list(_commands(CHANGES, numbers)))
    seconds, processor, statements = [], [], []
    for _ in range(REPEATS):
        commands = list(_commands(COMMANDS, numbers))
        began, used = time.perf_counter(), time.process_time()
        with _counted_statements() as ran:
            _push(actor, device, commands)
        seconds.append(time.perf_counter() - began)
        processor.append((time.process_time() - used) * 1000 / COMMANDS)
        statements.append(len(ran) / COMMANDS)
    figures.add(f"push_of_{COMMANDS}", [one * 1000 for one in seconds], "ms")
    figures.add("push.rate", [COMMANDS / one for one in seconds], "commands/s")
    # Of this process alone, without PostgreSQL's: it says the same on a busy machine.
    figures.add("push.processor_per_command", processor, "ms")
    figures.add("push.statements_per_command", statements, "")
    again = figures.measure(f"push_of_{COMMANDS}_again", partial(_push, actor, device, commands))
    push = median(seconds) * 1000
    figures.ratio("again_per_push", again / push)
    _measure_audit_chain(figures, actor, push)


def _measure_audit_chain(figures: Recorder, actor: Actor, push: float) -> None:
    """The events of such a push, one a command, written with and without their chain; `push` in ms.

    As the owner of the database, in a transaction that is rolled back with the events and the trigger that was off.
    """
    took: dict[bool, list[float]] = {True: [], False: []}
    for _ in range(REPEATS):
        for chained, times in took.items():
            with transaction.atomic(using="owner"):
                with connections["owner"].cursor() as cursor:
                    cursor.execute("SELECT set_config('app.shop_id', %s, true)", [str(actor.shop_id)])
                    if not chained:
                        cursor.execute("ALTER TABLE core_auditevent DISABLE TRIGGER chain")
                began = time.perf_counter()
                for first in range(0, COMMANDS, CHUNK_SIZE):
                    events = [_event(actor) for _ in range(min(CHUNK_SIZE, COMMANDS - first))]
                    AuditEvent.objects.using("owner").bulk_create(events)
                times.append((time.perf_counter() - began) * 1000)
                transaction.set_rollback(True, using="owner")
    figures.add(f"audit_events_{COMMANDS}", took[True], "ms")
    figures.add(f"audit_events_{COMMANDS}_without_chain", took[False], "ms")
    chain = median(took[True]) - median(took[False])
    figures.ratio("audit_event_per_event_without_chain", median(took[True]) / median(took[False]))
    figures.ratio("push_per_push_without_audit_chain", push / (push - chain))


def _event(actor: Actor) -> AuditEvent:
    return AuditEvent(
        shop_id=actor.shop_id,
        event="customer added",
        member_id=actor.member_id,
        command_id=uuid7(),
        subject_kind="customer",
        subject_id=uuid7(),
        details={"name": "Customer 1"},
    )


@contextmanager
def _counted_statements() -> Iterator[list[None]]:
    """One element for each statement that is sent to the database inside."""
    ran: list[None] = []

    def note(execute: Callable[..., object], *given: object) -> object:
        ran.append(None)
        return execute(*given)

    with connection.execute_wrapper(note):
        yield ran


def _measure_first_pull(figures: Recorder, actor: Actor) -> None:
    """Everything, in the pages of a new phone, against the same rows by plain SQL as JSON: the floor."""
    pages = _snapshot(actor)
    found = sum(len(rows) for page in pages for rows in page.values())
    texts = [json.dumps(page, ensure_ascii=False, separators=(",", ":")).encode() for page in pages]
    whole = figures.measure(f"first_pull.{found}", partial(_snapshot, actor))
    figures.add("first_pull.rate", [found / whole * 1000], "rows/s")
    figures.add("first_pull.bytes_per_row", [sum(map(len, texts)) / found], "bytes")
    figures.add("first_pull.gzipped_bytes_per_row", [sum(len(gzip.compress(one, 4)) for one in texts) / found], "bytes")
    figures.add("first_pull.largest_page", [max(map(len, texts))], "bytes")
    figures.add("first_pull.peak_memory", [resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000], "MB")
    floor = figures.measure("plain_sql", partial(_plain, Customer, actor.shop_id))
    figures.ratio("first_pull_per_plain_sql", whole / floor)


def _new_shop() -> tuple[Actor, UUID]:
    device_id = uuid7()
    opening = FirstShop(
        shop_name=f"Benchmark {device_id}",
        zone="UTC",
        name="Benchmark",
        email=f"{device_id}@bench.example",
        password=PASSWORD,
    )
    actor = open_shop(data=opening)
    register_device(actor=actor, data=NewDevice(id=device_id, label="benchmark"))
    return actor, device_id


def _grow_to(shop_id: UUID, rows: int) -> None:
    with in_shop(shop_id):
        there = Customer.objects.count()
    for some in _batches(rows - there):
        with in_shop(shop_id):
            Customer.objects.bulk_create(
                Customer(
                    id=uuid7(),
                    shop_id=shop_id,
                    name=f"Customer {n}",
                    phone=f"555 01{n:06}",
                    address=f"{n} Mill Lane\nCaldwell",
                    notes="The gate is locked after six; the code is with the neighbor.",
                )
                for n in some
            )


def _batches(rows: int) -> Iterator[Sequence[int]]:
    for first in range(0, max(rows, 0), A_WRITE):
        yield range(first, min(first + A_WRITE, rows))


def _commands(amount: int, numbers: Iterator[int]) -> Iterator[Envelope]:
    for _ in range(amount):
        row_id, no = uuid7(), next(numbers)
        args = {"id": str(row_id), "name": f"Customer {no}", "phone": f"555 01{no:06}", "address": f"{no} Mill Lane"}
        yield Envelope(id=uuid7(), no=no, name="add_customer", args=args, wall=now())


def _push(actor: Actor, device: UUID, commands: list[Envelope]) -> None:
    for first in range(0, len(commands), MAX_COMMANDS):
        some = commands[first : first + MAX_COMMANDS]
        push_commands(actor=actor, data=Push(device=device, sent_wall=now(), commands=some))


def _cursor(actor: Actor) -> str:
    with in_shop_snapshot(actor.shop_id):
        return queries.read_snapshot_page(actor, "").cursor


def _pull(actor: Actor, cursor: str) -> None:
    with in_shop_snapshot(actor.shop_id):
        pulled = queries.pull_changes(actor, cursor, max_bytes=MOST_BYTES)
        if isinstance(pulled, queries.PullPage):
            json.dumps(pulled.rows)


def _snapshot(actor: Actor) -> list[dict[str, list[object]]]:
    pages = []
    after: str | None = ""
    while after is not None:
        with in_shop_snapshot(actor.shop_id):
            page = queries.read_snapshot_page(actor, after)
            json.dumps(page.rows)
        pages.append(page.rows)
        after = page.after
    return pages


def _plain(model: type[Model], shop_id: UUID) -> None:
    with in_shop(shop_id), connection.cursor() as cursor:
        cursor.execute(f'SELECT * FROM "{model._meta.db_table}" WHERE shop_id = %s', [shop_id])  # noqa: S608
        names = [column.name for column in cursor.description or ()]
        json.dumps([dict(zip(names, row, strict=True)) for row in cursor.fetchall()], default=str)
