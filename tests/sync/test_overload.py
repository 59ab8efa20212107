"""A database that is busy for a while, and queues that no honest phone sends."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import connection

from shopapi.core.clock import now
from shopapi.core.feed import lock_shop
from shopapi.core.tenancy import in_shop
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop
from tests.sync.simulated_phone import ConnectionLost, SimulatedPhone, iso_utc

NewPhone = Callable[..., SimulatedPhone]


@contextmanager
def shop_locked(shop: SyncShop) -> Iterator[threading.Event]:
    """Another writer holds the shop's write lock until the event is set."""
    held, over = threading.Event(), threading.Event()

    def hold() -> None:
        try:
            with in_shop(shop.id):
                lock_shop(shop.id)
                held.set()
                over.wait(60)
        finally:
            connection.close()

    holding = threading.Thread(target=hold)
    holding.start()
    assert held.wait(10)
    try:
        yield over
    finally:
        over.set()
        holding.join()


def test_busy_database_records_nothing_and_the_queue_drains_by_itself(shop: SyncShop, phone: SimulatedPhone) -> None:
    """Scenario 8: the lock is held longer than a push waits for it (8 s)."""
    scenario.record_visit(phone, shop=SHOP)
    with shop_locked(shop):
        began = time.monotonic()
        answer = phone.push_entries(phone.outbox)
        assert (answer.status, answer.body["code"]) == (503, "busy")
        assert 5 < time.monotonic() - began < 20
        with pytest.raises(ConnectionLost):
            phone.sync()
        assert phone.unsent() == phone.outbox
        assert invariants.query("SELECT count(*) FROM sync_loggedcommand WHERE shop_id = %s", shop.id) == [(0,)]
        # What only reads does not wait.
        phone.pull()
    # No new entry is needed.
    phone.sync()
    assert {entry.status for entry in phone.outbox} == {"applied"}
    assert all(entry.acked for entry in phone.outbox)
    invariants.assert_server_invariants(shop.id)
    invariants.assert_equals_snapshot(phone)


def body_of(phone: SimulatedPhone, commands: list[dict[str, Any]]) -> dict[str, Any]:
    return {"device": phone.id, "build": "1", "sent_wall": iso_utc(now()), "commands": commands}


def command(phone: SimulatedPhone, no: Any) -> dict[str, Any]:
    args = {"id": phone.new_id(), "name": "Nobody"}
    return {"id": phone.new_id(), "no": no, "name": "add_customer", "args": args, "wall": iso_utc(now())}


@pytest.mark.parametrize("no", [2**53, -1, 0, 1.5, "1", True, None, 10**30])
def test_impossible_number_is_refused(shop: SyncShop, phone: SimulatedPhone, no: Any) -> None:
    """Scenario 44: numbers are whole, from 1 to 2^53 - 1, the largest that every phone counts exactly."""
    answer = phone.call("POST", "sync/push", body_of(phone, [command(phone, no)]))
    assert (answer.status, answer.body["code"]) == (422, "invalid")
    assert_nothing_happened(shop, phone)


def test_number_far_ahead_is_a_gap(shop: SyncShop, phone: SimulatedPhone) -> None:
    answer = phone.call("POST", "sync/push", body_of(phone, [command(phone, 2**53 - 1)]))
    assert (answer.status, answer.body["code"], answer.body["expect"]) == (409, "gap", 1)
    assert_nothing_happened(shop, phone)


def test_endless_queue_is_refused_before_it_is_read(shop: SyncShop, phone: SimulatedPhone) -> None:
    """Scenario 44: a push has at most 100 commands, and at most a megabyte."""
    many = phone.call("POST", "sync/push", body_of(phone, [command(phone, no) for no in range(1, 102)]))
    assert (many.status, many.body["code"]) == (422, "invalid")
    large = command(phone, 1)
    large["args"]["notes"] = "n" * 1_100_000
    assert phone.call("POST", "sync/push", body_of(phone, [large])).status == 413
    assert_nothing_happened(shop, phone)


def test_known_id_with_other_arguments_in_one_push_is_a_fork(shop: SyncShop, phone: SimulatedPhone) -> None:
    """Scenario 44: the first of the two is not kept either, since nothing says which of them is meant."""
    first, second = command(phone, 1), command(phone, 2)
    second["id"] = first["id"]
    answer = phone.call("POST", "sync/push", body_of(phone, [first, second]))
    assert (answer.status, answer.body["code"]) == (409, "fork")
    assert_nothing_happened(shop, phone)


def assert_nothing_happened(shop: SyncShop, phone: SimulatedPhone) -> None:
    """Nothing is recorded, and the phone's own queue still goes through."""
    assert invariants.query("SELECT count(*) FROM sync_loggedcommand WHERE shop_id = %s", shop.id) == [(0,)]
    scenario.create_row(phone, "add_customer", name="Ada Quill")
    phone.sync()
    assert [row["name"] for row in phone.rows("customer").values()] == ["Ada Quill"]
    invariants.assert_server_invariants(shop.id)
