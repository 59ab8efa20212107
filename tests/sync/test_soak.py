"""Scenario 45: two shops, five phones, random work, partitions, kills, jumping clocks and a restart, then all heals.

One seed is played twice, undisturbed and with faults: both shops end up equal. `DRAWBAR_SOAK=20000` works as long.
"""

import json
import os
import random
import threading
from dataclasses import dataclass, field
from uuid import UUID

from django.db import connections

from tests.database import empty_database
from tests.flaky_proxy import FlakyProxy
from tests.site import LiveSite
from tests.sync import invariants, scenario
from tests.sync.conftest import SyncShop, create_shop
from tests.sync.random_work import RandomWork
from tests.sync.simulated_clock import HOUR, MINUTE, SECOND, SimulatedClock
from tests.sync.simulated_phone import ConnectionLost, HttpTransport, SimulatedPhone

OPERATIONS = int(os.environ.get("DRAWBAR_SOAK", "300"))
JUMPS = (3 * 24 * HOUR, -3 * 24 * HOUR, 20 * MINUTE, -90 * SECOND)
SEED = 45
# Rows as text, by kind.
Content = dict[str, list[str]]


@dataclass
class Faults:
    """What goes wrong while a phone syncs; drawn apart from the work, which is the same without any."""

    site: LiveSite
    proxy: FlakyProxy
    draw: random.Random
    happened: dict[str, int] = field(default_factory=dict)

    def sync(self, phone: SimulatedPhone) -> None:
        """Let one fault happen or none, and sync until it succeeds."""
        kind = self.draw.choices(("none", "cut up", "cut down", "again", "kill"), (50, 15, 15, 15, 1))[0]
        self.happened[kind] = self.happened.get(kind, 0) + 1
        killing = None
        if kind == "cut up":
            self.proxy.cut_after(self.draw.randrange(4_000), "up")
        elif kind == "cut down":
            self.proxy.cut_after(self.draw.randrange(8_000), "down")
        elif kind == "kill":
            killing = threading.Timer(self.draw.uniform(0, 0.1), self.site.kill)
            killing.start()
        elif kind == "again" and phone.outbox:
            start = self.draw.randrange(len(phone.outbox))
            assert phone.push_entries([e for e in phone.outbox[start : start + 30] if e.outcome]).status == 200
        while True:
            try:
                phone.sync()
            except ConnectionLost:
                if killing is not None:
                    killing.join()
                self.proxy.open()
                self.site.start()
            else:
                break
        if killing is not None:
            killing.join()
        self.proxy.open()
        self.site.start()


def new_phones(shop: SyncShop, port: int, keys: list[str], seed: int) -> list[SimulatedPhone]:
    phones = []
    for nth, key in enumerate(keys):
        phone = SimulatedPhone(HttpTransport(port, key, timeout=10), random.Random(seed + nth))  # noqa: S311
        assert phone.register().status == 200
        phones.append(phone)
    # The last one has a clock that jumps.
    phones[-1].clocks = SimulatedClock(int(scenario.TODAY.timestamp() * 1000) - 10 * 24 * HOUR)
    return phones


def work_on(faults: Faults | None, site: LiveSite, proxy: FlakyProxy) -> list[Content]:
    """The content of both shops after the same work, with or without faults."""
    draw = random.Random(SEED)  # noqa: S311
    shops = [create_shop(), create_shop()]
    keys = [
        [shops[0].owner_key, shops[0].owner_key, shops[0].mechanic_key],
        [shops[1].mechanic_key, shops[1].owner_key],
    ]
    works = [
        RandomWork(new_phones(shop, proxy.port, keys[nth], 1000 * (nth + 1)), SEED + nth)
        for nth, shop in enumerate(shops)
    ]
    sync = SimulatedPhone.sync if faults is None else faults.sync
    phones = [phone for work in works for phone in work.phones]
    away: dict[int, int] = {}
    written: dict[UUID, list[str]] = {shop.id: [] for shop in shops}
    for operation in range(OPERATIONS):
        nth = draw.randrange(len(phones))
        phone = phones[nth]
        shop, work = (shops[0], works[0]) if nth < len(works[0].phones) else (shops[1], works[1])
        if phone.clocks is not None:
            phone.clocks.run(draw.randrange(20) * SECOND)
            if draw.random() < 0.05:
                phone.clocks.adjust(draw.choice(JUMPS))
        known = len(phone.outbox)
        work.act(phone)
        written[shop.id] += [entry.id for entry in phone.outbox[known:]]
        if draw.random() < 0.1:
            away[nth] = operation + draw.randrange(5, 60)
        if operation >= away.get(nth, 0):
            if phone.clocks is not None:
                phone.record_contact()
            sync(phone)
        if operation == OPERATIONS // 2:
            site.restart()
    for _ in range(2):
        for phone in phones:
            sync(phone)
    return [healed(shop, work.phones, written[shop.id]) for shop, work in zip(shops, works, strict=True)]


def healed(shop: SyncShop, phones: list[SimulatedPhone], written: list[str]) -> Content:
    """Check the invariants at rest, and that everything sent again is a duplicate; returns the content."""
    for phone in phones:
        phone.sync()
    invariants.assert_server_invariants(shop.id)
    invariants.assert_no_command_lost(shop.id, phones, written)
    assert invariants.query("SELECT name, words FROM sync_loggedcommand WHERE code = 'internal'") == []
    content = invariants.shop_content(shop.id, same_people=False)
    for phone in phones:
        assert not phone.unsent()
        assert all(entry.acked for entry in phone.outbox)
        assert not phone.former_device_ids
        invariants.assert_equals_snapshot(phone)
        for start in range(0, len(phone.outbox), 100):
            assert phone.push_entries(phone.outbox[start : start + 100]).status == 200
        assert all(entry.outcome and entry.outcome["status"] == "duplicate" for entry in phone.outbox)
    assert invariants.shop_content(shop.id, same_people=False) == content
    return content


def comparable(content: Content) -> Content:
    """Without what names an issue: their ids are the server's, and others in each run."""
    log = [json.loads(row) for row in content["log"]]
    for row in log:
        if row["name"] == "settle_issue":
            row["args"]["id"] = row["row_id"] = row["digest"] = None
    return content | {"log": sorted(json.dumps(row) for row in log)}


def differing(before: list[str], after: list[str]) -> tuple[list[str], list[str]]:
    return [row for row in before if row not in after], [row for row in after if row not in before]


def test_a_disturbed_run_ends_as_the_undisturbed_one(live_site: LiveSite, proxy: FlakyProxy) -> None:
    expected = work_on(None, live_site, proxy)
    empty_database(connections["owner"])
    faults = Faults(live_site, proxy, random.Random(SEED))  # noqa: S311
    for before, after in zip(
        map(comparable, expected), map(comparable, work_on(faults, live_site, proxy)), strict=True
    ):
        assert {kind: differing(before[kind], after[kind]) for kind in before if before[kind] != after[kind]} == {}
    assert min(faults.happened[kind] for kind in ("cut up", "cut down", "again", "kill")) > 0
