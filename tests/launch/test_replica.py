"""A streaming replica: reports and searches read it when it is current; nothing answered is lost with the primary."""

import random
import threading
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest
from django.db import connections

from tests.replicas import Pair, server_folder, wait_for
from tests.site import LiveSite
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop, create_shop
from tests.sync.simulated_phone import ConnectionLost, HttpTransport, SimulatedPhone
from tests.sync.test_faults import sync_when_possible

PATIENCE = 120.0
# Commits that are on the primary's disk and not yet on a replica's.
WAITING = "SELECT count(*) FROM pg_stat_activity WHERE wait_event = 'SyncRep'"
PHONES = 3
ACKNOWLEDGED_FIRST = 60
SEARCHED = "word_similarity"


@pytest.fixture
def shop(committed_db: None) -> SyncShop:
    return create_shop()


@pytest.fixture
def pair(shop: SyncShop) -> Iterator[Pair]:
    with server_folder() as folder:
        pair = Pair(folder)
        yield pair
        pair.stop()


@pytest.fixture
def database() -> str:
    return str(connections["owner"].settings_dict["NAME"])


@pytest.fixture
def site(pair: Pair, database: str, tmp_path: Path) -> Iterator[LiveSite]:
    (tmp_path / "site").mkdir()
    site = LiveSite(tmp_path / "site", database)
    site.environment |= {
        "DATABASE_URL": pair.url("drawbar_app", database),
        "MIGRATE_DATABASE_URL": pair.url("drawbar_owner", database),
        "DATABASE_REPLICA_URL": pair.replica.postgres.url("drawbar_app", database),
    }
    site.start()
    yield site
    site.stop()


def new_phone(site: LiveSite, shop: SyncShop, *, seed: int, timeout: float = 20) -> SimulatedPhone:
    phone = SimulatedPhone(HttpTransport(site.port, shop.owner_key, timeout), random.Random(seed))  # noqa: S311
    assert phone.register().status == 200
    return phone


def titles(phone: SimulatedPhone, q: str) -> list[str]:
    answer = phone.call("GET", f"search?q={quote(q)}")
    assert answer.status == 200, answer
    return [row["title"] for row in answer.body["rows"]]


def test_reads_use_the_replica_once_it_has_all_commits(pair: Pair, site: LiveSite, shop: SyncShop) -> None:
    phone = new_phone(site, shop, seed=1)
    pair.replica.query("SELECT pg_wal_replay_pause()")
    wait_for(lambda: pair.replica.query("SELECT pg_get_wal_replay_pause_state()") == [("paused",)])
    scenario.create_row(phone, "add_customer", name="Wren Holloway")
    phone.sync()
    assert titles(phone, "Holloway") == ["Wren Holloway"]
    assert phone.call("GET", "reports/ageing").status == 200
    assert SEARCHED not in pair.replica.log(), "an older state was read"
    pair.replica.query("SELECT pg_wal_replay_resume()")
    seq = "SELECT max(seq) FROM core_synchead"
    name = site.environment["DATABASE_URL"].split("/")[3].split("?")[0]
    committed = pair.primary.query(seq, database=name)
    wait_for(lambda: pair.replica.query(seq, database=name) == committed)
    assert titles(phone, "Holloway") == ["Wren Holloway"]
    assert SEARCHED in pair.replica.log()
    assert '"billing_invoice"' not in pair.replica.log()
    assert phone.call("GET", "reports/ageing").status == 200
    assert '"billing_invoice"' in pair.replica.log()
    # Of what phones pull, nothing is asked there.
    scenario.create_row(phone, "add_customer", name="Sparrow Holloway")
    phone.sync()
    for table in ("core_syncchange", "sync_loggedcommand"):
        assert table not in pair.replica.log()


def test_nothing_is_acknowledged_without_the_replica(pair: Pair, site: LiveSite, shop: SyncShop) -> None:
    phone = new_phone(site, shop, seed=2, timeout=PATIENCE)
    pair.replica.kill()
    customer_id = scenario.create_row(phone, "add_customer", name="Wren Holloway")
    pushing = threading.Thread(target=sync_when_possible, args=(phone,))
    pushing.start()
    wait_for(lambda: pair.primary.query(WAITING) != [(0,)])
    assert [entry.outcome for entry in phone.outbox] == [None]
    pair.replica.start()
    pushing.join()
    assert [entry.status for entry in phone.outbox] == ["applied"]
    assert ("customer", customer_id) in phone.base


def test_all_goes_on_without_the_replica_once_nothing_waits_for_it(pair: Pair, site: LiveSite, shop: SyncShop) -> None:
    phone = new_phone(site, shop, seed=3)
    assert titles(phone, "Holloway") == []
    pair.replica.kill()
    pair.primary.wait_for_replicas("")
    scenario.create_row(phone, "add_customer", name="Wren Holloway")
    phone.sync()
    assert titles(phone, "Holloway") == ["Wren Holloway"]
    assert phone.call("GET", "reports/ageing").status == 200
    assert "The replica does not answer: read from the primary." in site.log()


def push_until_lost(phone: SimulatedPhone, stop: threading.Event) -> None:
    """Work and push in small parts until the server is gone."""
    for nth in range(1000):
        scenario.record_visit(phone, shop=SHOP, nth=nth)
        try:
            phone.push(limit=3)
        except ConnectionLost:
            return
        if stop.is_set():
            return


def acknowledged(phones: list[SimulatedPhone]) -> set[str]:
    return {entry.id for phone in phones for entry in phone.outbox if entry.outcome is not None}


def test_nothing_acknowledged_is_lost_with_the_primary(
    pair: Pair, site: LiveSite, shop: SyncShop, database: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The primary is killed while phones push; the promoted replica has every command that was answered."""
    phones = [new_phone(site, shop, seed=30 + number) for number in range(PHONES)]
    stop = threading.Event()
    pushing = [threading.Thread(target=push_until_lost, args=(phone, stop)) for phone in phones]
    for thread in pushing:
        thread.start()
    try:
        wait_for(lambda: len(acknowledged(phones)) >= ACKNOWLEDGED_FIRST)
        pair.primary.kill()
    finally:
        stop.set()
        for thread in pushing:
            thread.join()
    answered = acknowledged(phones)
    assert any(phone.unsent() for phone in phones), "it was killed when all was done"
    pair.replica.promote()
    held = {str(found) for (found,) in pair.replica.query("SELECT id FROM sync_loggedcommand", database=database)}
    assert len(answered) >= ACKNOWLEDGED_FIRST
    assert answered - held == set()
    # Web processes find the new primary by themselves; a connection to the old one fails once.
    for phone in phones:
        sync_when_possible(phone)
        assert {entry.status for entry in phone.outbox} == {"applied"}
    for phone in phones:
        sync_when_possible(phone)
        invariants.assert_equals_snapshot(phone)
    with monkeypatch.context() as patched:
        connections.close_all()
        for alias in ("default", "owner"):
            patched.setitem(connections[alias].settings_dict, "HOST", str(pair.replica.postgres.socket_folder))
        invariants.assert_server_invariants(shop.id)
        connections.close_all()
