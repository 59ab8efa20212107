"""`benchmark sync`: push, pull and snapshot in shops of growing size."""

import json
import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from statistics import median
from uuid import UUID

from shopapi.accounts.rules import FirstShop, NewDevice
from shopapi.accounts.services.devices import register_device
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop_snapshot
from shopapi.quotes.services.shop import open_shop
from shopapi.sync import queries
from shopapi.sync.rules.push import Envelope, Push
from shopapi.sync.services.push import push_commands

REPEATS = 5
COMMANDS_PER_PUSH = 100


def measure_sync(say: Callable[[str], object], sizes: Sequence[int]) -> None:
    """Grow one shop to each size in turn and print what each step took, in milliseconds."""
    actor, device = _new_shop()
    numbers = iter(range(1, 10**9))
    rows_so_far = 0
    for rows in sorted(sizes):
        commands = list(_customers(rows - rows_so_far, numbers))
        took = _seconds(partial(_push, actor, device, commands))
        say(_line(f"push {rows - rows_so_far} new commands", took, count=rows - rows_so_far))
        again = commands[-1000:]
        took = _seconds(partial(_push, actor, device, again))
        say(_line(f"push {len(again)} of them again", took, count=len(again)))
        rows_so_far = rows
        cursor = _cursor(actor)
        say(_line(f"empty pull at {rows} rows", median(_times(partial(_pull, actor, cursor)))))
        _push(actor, device, list(_customers(10, numbers)))
        say(_line(f"pull of 10 at {rows} rows", median(_times(partial(_pull, actor, cursor)))))
        say(_line(f"snapshot of {rows} rows", _seconds(partial(_snapshot, actor)), count=rows))


def _line(what: str, seconds: float, *, count: int = 0) -> str:
    rate = f"  {count / seconds:8.0f}/s" if count else ""
    return f"{what:34} {seconds * 1000:10.1f} ms{rate}"


def _new_shop() -> tuple[Actor, UUID]:
    device_id = uuid7()
    opening = FirstShop(
        shop_name=f"Benchmark {device_id}",
        zone="UTC",
        name="Benchmark",
        email=f"{device_id}@bench.example",
        password=str(device_id),
    )
    actor = open_shop(data=opening)
    register_device(actor=actor, data=NewDevice(id=device_id, label="benchmark"))
    return actor, device_id


def _customers(count: int, numbers: Iterator[int]) -> Iterator[Envelope]:
    for _ in range(count):
        row_id, no = uuid7(), next(numbers)
        args = {"id": str(row_id), "name": f"Customer {no}", "phone": f"555 01{no:06}", "address": f"{no} Mill Lane"}
        yield Envelope(id=uuid7(), no=no, name="add_customer", args=args, wall=now())


def _push(actor: Actor, device: UUID, commands: list[Envelope]) -> None:
    for first in range(0, len(commands), COMMANDS_PER_PUSH):
        chunk = commands[first : first + COMMANDS_PER_PUSH]
        push_commands(actor=actor, data=Push(device=device, sent_wall=now(), commands=chunk))


def _cursor(actor: Actor) -> str:
    with in_shop_snapshot(actor.shop_id):
        return queries.read_snapshot_page(actor, "").cursor


def _pull(actor: Actor, cursor: str) -> None:
    with in_shop_snapshot(actor.shop_id):
        pulled = queries.pull_changes(actor, cursor, max_bytes=2_000_000)
        if isinstance(pulled, queries.PullPage):
            json.dumps(pulled.rows)


def _snapshot(actor: Actor) -> None:
    after: str | None = ""
    while after is not None:
        with in_shop_snapshot(actor.shop_id):
            page = queries.read_snapshot_page(actor, after)
            json.dumps(page.rows)
        after = page.after


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _times(work: Callable[[], object]) -> list[float]:
    return [_seconds(work) for _ in range(REPEATS)]
