"""`bench`: how long the main paths take on this machine. Compare within one run; machines are noisy."""

import json
import time
from argparse import ArgumentParser
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from statistics import median
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand

from shopapi.accounts.rules import FirstShop, NewDevice
from shopapi.accounts.services import make_shop, register_device
from shopapi.config.bench.dispatch import GROWTH, bench_dispatch
from shopapi.config.bench.figures import Figures
from shopapi.config.bench.labor import bench_labor
from shopapi.config.bench.reminders import bench_reminders
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop_snapshot
from shopapi.sync import queries
from shopapi.sync.rules import Envelope, Push
from shopapi.sync.services.pushing import push_commands

REPEATS = 5
A_PUSH = 100
# What else can be timed; each bench sets up what it needs.
BENCHES: Mapping[str, Sequence[Callable[[Figures], None]]] = {
    "labor": [bench_labor, bench_reminders],
    "reminders": [bench_reminders],
}


class Command(BaseCommand):
    help = (
        "Time work on a shop of its own, which stays in the database: use a scratch folder (up --data DIR). "
        "dispatch times the planner on published instances, against PyVRP as it comes, and asks no database."
    )
    # What asks no database is run without one.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("what", choices=["sync", "dispatch", *BENCHES])
        parser.add_argument("--json", type=Path, help="write the figures to this file too (not for sync)")
        parser.add_argument("--seconds", type=float, default=10.0, help="dispatch: for a plan of over 50 stops (10)")
        parser.add_argument("--repeats", type=int, default=1, help="dispatch: how many seeds (1)")
        parser.add_argument("--grow", type=int, nargs="*", default=list(GROWTH), help="dispatch: sizes of drawn days")
        parser.add_argument("--rows", type=int, nargs="*", default=[1_000, 10_000], help="sizes of the shop to time")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["what"] != "sync":
            figures = Figures(options["what"], self.stdout.write)
            if options["what"] == "dispatch":
                bench_dispatch(figures, options["seconds"], options["repeats"], options["grow"])
            for bench in BENCHES.get(options["what"], ()):
                bench(figures)
            if options["json"]:
                figures.write_to(options["json"])
            return
        actor, device = _new_shop()
        numbers = iter(range(1, 10**9))
        held = 0
        for rows in sorted(options["rows"]):
            commands = list(_customers(rows - held, numbers))
            took = _seconds(lambda commands=commands: _push(actor, device, commands))
            self._say(f"push {rows - held} new commands", took, per=rows - held)
            again = commands[-1000:]
            took = _seconds(lambda again=again: _push(actor, device, again))
            self._say(f"push {len(again)} of them again", took, per=len(again))
            held = rows
            cursor = _cursor(actor)
            self._say(f"empty pull at {rows} rows", median(_times(lambda c=cursor: _pull(actor, c))))
            _push(actor, device, list(_customers(10, numbers)))
            self._say(f"pull of 10 at {rows} rows", median(_times(lambda c=cursor: _pull(actor, c))))
            self._say(f"snapshot of {rows} rows", _seconds(lambda: _snapshot(actor)), per=rows)

    def _say(self, what: str, seconds: float, *, per: int = 0) -> None:
        rate = f"  {per / seconds:8.0f}/s" if per else ""
        self.stdout.write(f"{what:34} {seconds * 1000:10.1f} ms{rate}")


def _new_shop() -> tuple[Actor, UUID]:
    mark = uuid7()
    opening = FirstShop(
        shop_name=f"Bench {mark}",
        zone="UTC",
        name="Bench",
        email=f"{mark}@bench.example",
        password=str(mark),
    )
    actor = make_shop(data=opening)
    register_device(actor=actor, data=NewDevice(id=mark, label="bench"))
    return actor, mark


def _customers(count: int, numbers: Iterator[int]) -> Iterator[Envelope]:
    for _ in range(count):
        row_id, no = uuid7(), next(numbers)
        args = {"id": str(row_id), "name": f"Customer {no}", "phone": f"555 01{no:06}", "address": f"{no} Mill Lane"}
        yield Envelope(id=uuid7(), no=no, name="add_customer", args=args, wall=now())


def _push(actor: Actor, device: UUID, commands: list[Envelope]) -> None:
    for first in range(0, len(commands), A_PUSH):
        chunk = commands[first : first + A_PUSH]
        push_commands(actor=actor, data=Push(device=device, sent_wall=now(), commands=chunk))


def _cursor(actor: Actor) -> str:
    with in_shop_snapshot(actor.shop_id):
        return queries.snapshot(actor, "").cursor


def _pull(actor: Actor, cursor: str) -> None:
    with in_shop_snapshot(actor.shop_id):
        pulled = queries.pull(actor, cursor, max_bytes=2_000_000)
        if isinstance(pulled, queries.Pulled):
            json.dumps(pulled.rows)


def _snapshot(actor: Actor) -> None:
    after: str | None = ""
    while after is not None:
        with in_shop_snapshot(actor.shop_id):
            page = queries.snapshot(actor, after)
            json.dumps(page.rows)
        after = page.after


def _seconds(work: Callable[[], None]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _times(work: Callable[[], None]) -> list[float]:
    return [_seconds(work) for _ in range(REPEATS)]
