"""SIGKILL of web server, worker and phone at random points of a queue of 504 commands: nothing is lost or done twice.

Two seeds; `DRAWBAR_KILLS=20` runs that many, with 80 kills of the web server among them.
"""

import copy
import os
import random
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta

import pytest
from django.db import connections

from shopapi.core.background import sweep
from shopapi.core.clock import now
from shopapi.core.models import Outbox
from shopapi.core.tenancy import in_shop
from shopapi.documents.models import Document
from shopapi.quotes.models import Quote
from tests.database import empty_database
from tests.site import LiveSite
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop, create_shop
from tests.sync.simulated_phone import ConnectionLost, SimulatedPhone

NewPhone = Callable[..., SimulatedPhone]
SEEDS = int(os.environ.get("DRAWBAR_KILLS", "2"))
# One push is one transaction of the server.
CHUNK = 50
VISITS = 12
COMMANDS = 504
KILLS = ("web",) * 4 + ("phone",) * 3 + ("worker",) * 2
# What is left after an undisturbed run, the same for every seed.
undisturbed: list[str] = []


def write_queue(phone: SimulatedPhone) -> None:
    """A week of work without a signal."""
    for nth in range(VISITS):
        scenario.record_visit(phone, shop=SHOP, nth=nth)
    while len(phone.outbox) < COMMANDS:
        scenario.create_row(phone, "add_customer", name=f"Customer {len(phone.outbox)}")


def push_all(phone: SimulatedPhone, killed: threading.Event) -> None:
    """Push in chunks until nothing is unsent; `killed`: the phone ends before it has stored the answer it gets."""
    while phone.unsent():
        stored = copy.deepcopy(phone.outbox)
        try:
            answer = phone.push_entries(phone.unsent()[:CHUNK])
        except ConnectionLost:
            time.sleep(0.05)
            continue
        assert answer.status in (200, 503), answer
        if killed.is_set():
            killed.clear()
            phone.outbox = stored


def count_logged(shop: SyncShop) -> int:
    ((count,),) = invariants.query("SELECT count(*) FROM sync_loggedcommand WHERE shop_id = %s", shop.id)
    return int(count)


@contextmanager
def sending(phone: SimulatedPhone, killed: threading.Event) -> Iterator[None]:
    """The phone sends its queue meanwhile; after a failure it has nothing left that could reach the next test."""
    thread = threading.Thread(target=push_all, args=(phone, killed))
    thread.start()
    try:
        yield
    except BaseException:
        phone.outbox = []
        raise
    finally:
        thread.join(120)
    assert not thread.is_alive(), "the queue was never sent"


def make_all_pdfs(live_site: LiveSite, shop: SyncShop, *, seconds: float = 120) -> None:
    """Have the worker do all that is pending: the sweep wakes it again for what a killed one had in hand."""
    live_site.start_worker()
    until = time.monotonic() + seconds
    while True:
        with in_shop(shop.id):
            pending = Outbox.objects.filter(done_at=None)
            if not pending.exists():
                return
            pending.update(run_after=now() - timedelta(seconds=1))
            sweep()
        assert time.monotonic() < until, "the worker never finished"
        time.sleep(1)


def final_content(live_site: LiveSite, shop: SyncShop, phone: SimulatedPhone) -> str:
    """The content hash once the worker has finished; each offered quote has its one PDF."""
    make_all_pdfs(live_site, shop)
    with in_shop(shop.id):
        assert list(Quote.objects.values_list("pdf_state", flat=True)) == ["ready"] * VISITS
        assert Document.objects.count() == VISITS
    phone.sync()
    assert {entry.status for entry in phone.outbox} == {"applied"}
    assert all(entry.acked for entry in phone.outbox)
    invariants.assert_server_invariants(shop.id)
    invariants.assert_equals_snapshot(phone)
    return invariants.content_hash(shop.id, same_people=False)


@pytest.fixture
def expected(live_site: LiveSite, new_phone: NewPhone) -> str:
    if not undisturbed:
        shop = create_shop()
        phone = new_phone(shop.owner_key, seed=2)
        write_queue(phone)
        push_all(phone, threading.Event())
        undisturbed.append(final_content(live_site, shop, phone))
        live_site.stop_worker()
        empty_database(connections["owner"])
    return undisturbed[0]


@pytest.mark.parametrize("seed", range(SEEDS))
def test_killed_web_worker_and_phone_leave_what_an_undisturbed_run_leaves(
    live_site: LiveSite, new_phone: NewPhone, expected: str, seed: int
) -> None:
    """Scenario 2, I1, I2 and I5: each kill falls while the queue is being sent, and chunks are whole or absent."""
    draw = random.Random(seed)  # noqa: S311
    shop = create_shop()
    phone = new_phone(shop.owner_key, seed=2)
    write_queue(phone)
    phone_killed = threading.Event()
    points = sorted(draw.sample(range(COMMANDS - 2 * CHUNK), len(KILLS)))
    victims = draw.sample(KILLS, len(KILLS))
    live_site.start_worker()
    with sending(phone, phone_killed):
        for point, victim in zip(points, victims, strict=True):
            while count_logged(shop) < point:
                time.sleep(0.01)
            time.sleep(draw.uniform(0, 0.15))
            if victim == "phone":
                phone_killed.set()
            elif victim == "worker":
                live_site.kill_worker()
                live_site.start_worker()
            else:
                live_site.kill()
                logged = count_logged(shop)
                assert logged % CHUNK == 0 or logged == COMMANDS
                invariants.assert_server_invariants(shop.id)
                live_site.start()
    assert count_logged(shop) == COMMANDS
    assert final_content(live_site, shop, phone) == expected
