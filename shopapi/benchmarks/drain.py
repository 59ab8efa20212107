"""`benchmark drain`: a phone sends a queue of 5,000 commands while others of the same shop go on working.

The web server is one of this benchmark's own. The others list, read, pull and push one command each, in turns with a
pause, first alone and then beside the queue: what they wait for then is the shop's write lock and the processor.
"""

import http.client
import json
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from shopapi.accounts.rules import FirstShop, NewDevice
from shopapi.accounts.services.devices import register_device
from shopapi.accounts.services.tokens import make_token
from shopapi.benchmarks.own_site import serve_site
from shopapi.benchmarks.recorder import PASSWORD, Recorder
from shopapi.benchmarks.web import percentile
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop_snapshot
from shopapi.quotes.services.shop import open_shop
from shopapi.sync import queries
from shopapi.sync.rules.push import MAX_COMMANDS

COMMANDS = 5_000
OTHERS = 4
ALONE_SECONDS = 5.0
PAUSE = 0.1
Times = dict[str, list[float]]


def measure_drain(figures: Recorder, environment: Mapping[str, str] | None = None) -> None:
    """The seconds for the queue, and the response times of the others alone and beside it."""
    actor = open_shop(
        data=FirstShop(
            shop_name="Benchmark",
            zone="UTC",
            name="Benchmark",
            email=f"drain-{uuid7()}@benchmark.example",
            password=PASSWORD,
        )
    )
    key = make_token(actor=actor, member_id=actor.member_id or uuid7(), label="Benchmark")
    with tempfile.TemporaryDirectory() as folder, serve_site(Path(folder), environment, {}) as port:
        phones = [_Phone(port, key, _device(actor), _cursor(actor)) for _ in range(1 + OTHERS)]
        queued, *others = phones
        took: list[float] = []
        try:
            # Each has asked for everything once before anything is timed.
            for phone in phones:
                phone.take_turn()
            alone = _worked(others, lambda: time.sleep(ALONE_SECONDS))
            beside = _worked(others, lambda: took.append(queued.send_queue(COMMANDS)))
        finally:
            for phone in phones:
                phone.connection.close()
    figures.add(f"queue_of_{COMMANDS}", took, "s")
    figures.add("queue.rate", [COMMANDS / took[0]], "commands/s")
    for name in sorted(beside):
        for label, times in (("alone", alone[name]), ("beside", beside[name])):
            figures.add(f"{name}.{label}.median", [percentile(times, 50) * 1000], "ms")
            figures.add(f"{name}.{label}.p99", [percentile(times, 99) * 1000], "ms")
    sides = (("alone", alone), ("beside", beside))
    every = {label: [one for times in each.values() for one in times] for label, each in sides}
    for label, waits in every.items():
        figures.add(f"others.{label}.p99", [percentile(waits, 99) * 1000], f"ms over {len(waits)} requests")
    figures.ratio("others.p99_beside_per_alone", percentile(every["beside"], 99) / percentile(every["alone"], 99))


@dataclass
class _Phone:
    """A device of the shop with a kept connection and its own numbers."""

    port: int
    key: str
    device: UUID
    cursor: str
    numbers: Iterator[int] = field(default_factory=lambda: count(1))
    customer: str = ""

    def __post_init__(self) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)

    def take_turn(self) -> dict[str, float]:
        """One request of each kind; the seconds that each took."""
        pull = urlencode({"cursor": self.cursor, "device": self.device})
        steps: dict[str, Callable[[], Any]] = {
            "push": lambda: self._push([self._new_customer()]),
            "list": lambda: self._ask("GET", "/api/v1/customers?limit=50"),
            "detail": lambda: self._ask("GET", f"/api/v1/customers/{self.customer}"),
            "pull": lambda: self._follow(self._ask("GET", f"/api/v1/sync/pull?{pull}")),
        }
        return {name: _seconds(step) for name, step in steps.items()}

    def send_queue(self, commands: int) -> float:
        """Push so many commands, as many a request as one may hold; the seconds for all."""
        queue = [made for _ in range(commands // 4) for made in self._visit()]
        began = time.perf_counter()
        for first in range(0, len(queue), MAX_COMMANDS):
            self._push(queue[first : first + MAX_COMMANDS])
        return time.perf_counter() - began

    def _visit(self) -> Iterator[dict[str, Any]]:
        """Four commands that belong together: a customer, a site, a machine there, a note."""
        customer = self._new_customer()
        yield customer
        customer_id = customer["args"]["id"]
        yield self._command("add_site", id=str(uuid7()), customer_id=customer_id, address="4 Mill Lane, Caldwell")
        yield self._command("add_machine", id=str(uuid7()), customer_id=customer_id, kind="mower")
        edit = {"base": {"notes": ""}, "set": {"notes": "The gate is locked after six."}}
        yield self._command("edit_customer", id=customer_id, **edit)

    def _new_customer(self) -> dict[str, Any]:
        made = self._command("add_customer", id=str(uuid7()), name="Ida Marlow", phone="555 0100")
        self.customer = made["args"]["id"]
        return made

    def _command(self, name: str, /, **args: Any) -> dict[str, Any]:
        return {"id": str(uuid7()), "no": next(self.numbers), "name": name, "args": args, "wall": now().isoformat()}

    def _push(self, commands: list[dict[str, Any]]) -> None:
        sent = {"device": str(self.device), "sent_wall": now().isoformat(), "commands": commands}
        for outcome in self._ask("POST", "/api/v1/sync/push", sent)["results"]:
            if outcome["status"] != "applied":
                raise RuntimeError(f"A command of the benchmark is {outcome['status']}: {outcome['code']}.")

    def _follow(self, pulled: dict[str, Any]) -> None:
        self.cursor = pulled.get("cursor") or self.cursor

    def _ask(self, method: str, path: str, sent: dict[str, Any] | None = None) -> dict[str, Any]:
        headers = {"Authorization": f"Token {self.key}", "Content-Type": "application/json"}
        self.connection.request(method, path, None if sent is None else json.dumps(sent), headers)
        answer = self.connection.getresponse()
        content = answer.read()
        if answer.status not in {200, 304}:
            raise RuntimeError(f"{path} answered {answer.status}: {content[:300]!r}")
        found: dict[str, Any] = json.loads(content or b"{}")
        return found


def _worked(phones: list[_Phone], meanwhile: Callable[[], object]) -> Times:
    """The response times, by kind of request, of phones that take turns until `meanwhile` has returned."""
    over = threading.Event()
    found: Times = {}

    def work(phone: _Phone) -> list[dict[str, float]]:
        turns = [phone.take_turn()]
        while not over.wait(PAUSE):
            turns.append(phone.take_turn())
        return turns

    with ThreadPoolExecutor(len(phones)) as pool:
        works = [pool.submit(work, phone) for phone in phones]
        try:
            meanwhile()
        finally:
            over.set()
    for turn in (turn for done in works for turn in done.result()):
        for name, seconds in turn.items():
            found.setdefault(name, []).append(seconds)
    return found


def _seconds(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def _device(actor: Actor) -> UUID:
    device_id = uuid7()
    register_device(actor=actor, data=NewDevice(id=device_id, label="Benchmark"))
    return device_id


def _cursor(actor: Actor) -> str:
    with in_shop_snapshot(actor.shop_id):
        return queries.read_snapshot_page(actor, "").cursor
