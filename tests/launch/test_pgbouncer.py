"""The program through PgBouncer in transaction mode: a connection keeps nothing from one transaction to the next."""

import json
import random
import re
import threading
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import psycopg
import pytest
from celery import current_app
from django.conf import settings
from django.db import connections
from redis import Redis

from shopapi.accounts.rules import FirstShop
from shopapi.core.errors import DomainError
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.launch.paths import ROOT
from shopapi.quotes.services.shop import open_first_shop
from tests.factories import work
from tests.factories.crews import open_crew
from tests.launch.test_queues import pdf_is_ready, wait_for
from tests.pgbouncer import SERVER_CONNECTIONS, pgbouncer, url_of
from tests.replicas import server_folder
from tests.site import LiveSite
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop, create_shop
from tests.sync.simulated_phone import HttpTransport, SimulatedPhone

CLIENTS = 8
# What a session of PostgreSQL keeps beyond its transaction, and PgBouncer therefore does not; pg_advisory_xact_lock is
# not among it. Migrations do not run through it.
OF_A_SESSION = re.compile(
    r"""
    pg_(try_)?advisory_(lock|unlock)(_shared|_all)?\(
    | \b(LISTEN|UNLISTEN|NOTIFY)\s+\w+ | pg_notify
    | \bSET\s+(SESSION|ROLE)\b | set_config\([^)]*,\s*false\)
    | CREATE\s+TEMP | WITH\s+HOLD | prepare=True | prepare_threshold
    """,
    re.VERBOSE,
)


@pytest.fixture
def through(committed_db: None) -> Iterator[dict[str, Any]]:
    """Django's settings of the test database, through PgBouncer."""
    with server_folder() as folder, pgbouncer(folder, dict(connections["default"].settings_dict)) as database:
        yield database


@pytest.fixture
def through_here(through: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """This process's own connections as the application lead through PgBouncer."""
    connections["default"].close()
    for name, value in through.items():
        monkeypatch.setitem(connections["default"].settings_dict, name, value)
    yield
    connections["default"].close()


@pytest.fixture
def site(through: dict[str, Any], tmp_path: Path) -> Iterator[LiveSite]:
    """Web and worker as the README has them run behind PgBouncer."""
    with Redis.from_url(settings.REDIS_URL) as broker:
        broker.flushdb()
    (tmp_path / "site").mkdir()
    site = LiveSite(tmp_path / "site", through["NAME"])
    site.environment |= {"DATABASE_URL": url_of(through), "DRAWBAR_PGBOUNCER": "1"}
    site.start()
    yield site
    site.stop()


def shops_seen(connection: psycopg.Connection[Any]) -> set[str]:
    return {str(shop_id) for (shop_id,) in connection.execute("SELECT DISTINCT shop_id FROM customers_customer")}


def test_clients_that_share_connections_see_their_own_shop_alone(through: dict[str, Any]) -> None:
    """Row security by SET LOCAL: many clients on two connections, in two shops and in none."""
    crews = [open_crew(name) for name in ("Alder Yard", "Birch Yard")]
    for crew in crews:
        work.a_customer(crew.owner)
    together = threading.Barrier(CLIENTS)

    def look(number: int) -> set[int]:
        shop_id, backends = str(crews[number % 2].shop_id), set()
        with psycopg.connect(url_of(through), autocommit=True, prepare_threshold=None) as connection:
            together.wait()
            for _ in range(50):
                with connection.transaction():
                    connection.execute("SELECT set_config('app.shop_id', %s, true)", [shop_id])
                    assert shops_seen(connection) == {shop_id}
                    found = connection.execute("SELECT pg_backend_pid()").fetchone()
                    backends.add(found[0] if found else 0)
                assert shops_seen(connection) == set()
        return backends

    with ThreadPoolExecutor(CLIENTS) as pool:
        backends = set().union(*pool.map(look, range(CLIENTS)))
    assert 1 <= len(backends) <= SERVER_CONNECTIONS < CLIENTS


def test_limits_of_time_hold(through_here: None) -> None:
    with connections["default"].cursor() as cursor:
        for name, seconds in (("lock_timeout", "8s"), ("statement_timeout", "1min")):
            cursor.execute(f"SHOW {name}")
            assert cursor.fetchone() == (seconds,), name


def test_advisory_locks_hold(through_here: None) -> None:
    """Of visitors who open the first shop at once, one does: they wait for each other by an advisory lock."""
    visitors = 6
    together = threading.Barrier(visitors)

    def open_shop(number: int) -> str:
        data = FirstShop(
            shop_name="Alder",
            zone="America/Boise",
            name="Ada",
            email=f"v{number}@alder.example",
            password="six wet dogs",
        )
        try:
            together.wait()
            open_first_shop(data=data)
        except DomainError as refused:
            return refused.code
        finally:
            connections.close_all()
        return "opened"

    with ThreadPoolExecutor(visitors) as pool:
        said = Counter(pool.map(open_shop, range(visitors)))
    assert said == {"opened": 1, "shop_exists": visitors - 1}


def test_cursors_and_repeated_statements_need_no_session(through_here: None) -> None:
    """`iterator()` outside a transaction, and a statement often enough that psycopg would prepare it."""
    crew = open_crew()
    for _ in range(20):
        work.a_customer(crew.owner)
    with in_shop(crew.shop_id):
        assert len(list(Customer.objects.iterator(chunk_size=3))) == 20
    assert list(Customer.objects.iterator(chunk_size=3)) == []
    with connections["default"].cursor() as cursor:
        cursor.execute("SELECT count(*) FROM pg_prepared_statements")
        assert cursor.fetchone() == (0,)


def new_phone(site: LiveSite, shop: SyncShop, seed: int) -> SimulatedPhone:
    phone = SimulatedPhone(HttpTransport(site.port, shop.owner_key), random.Random(seed))  # noqa: S311
    assert phone.register().status == 200
    return phone


def test_phones_of_two_shops_push_and_pull_at_once(site: LiveSite) -> None:
    shops = [create_shop() for _ in range(2)]
    phones = [new_phone(site, shops[number % 2], seed=number) for number in range(4)]
    for number, phone in enumerate(phones):
        for nth in range(2):
            scenario.record_visit(phone, shop=SHOP, nth=10 * number + nth)
    with ThreadPoolExecutor(len(phones)) as pool:
        list(pool.map(SimulatedPhone.sync, phones))
    for phone in phones:
        phone.pull()
        assert {entry.status for entry in phone.outbox} == {"applied"}
        assert len(phone.rows("customer")) == 4
        invariants.assert_equals_snapshot(phone)
    for shop in shops:
        invariants.assert_server_invariants(shop.id)


def test_worker_does_promised_and_periodic_work(site: LiveSite) -> None:
    """A PDF by the outbox, then each task of the schedule once."""
    crew = open_crew()
    quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
    site.start_worker()
    wait_for(lambda: pdf_is_ready(crew, quote_id))
    before = invariants.query("SELECT count(*) FROM core_sweepvisit")[0][0]
    for name, entry in settings.CELERY_BEAT_SCHEDULE.items():
        current_app.send_task(name, queue=entry["options"]["queue"])
    with Redis.from_url(settings.REDIS_URL) as broker:
        queues = [queue.name for queue in settings.CELERY_TASK_QUEUES]
        wait_for(lambda: not any(map(broker.llen, queues)) and not broker.hlen("unacked"))
    assert invariants.query("SELECT count(*) FROM core_sweepvisit")[0][0] > before
    lines = [json.loads(line) for line in site.log("worker").splitlines() if line.startswith("{")]
    assert lines
    assert [line for line in lines if line["level"] in {"ERROR", "CRITICAL"}] == []


def test_product_asks_nothing_of_a_session() -> None:
    files = [
        path
        for path in (ROOT / "shopapi").rglob("*.py")
        if not {"migrations", "launch", "benchmarks"} & set(path.relative_to(ROOT).parts)
    ]
    assert len(files) > 300
    found = [f"{path.relative_to(ROOT)}: {hit[0]}" for path in files for hit in OF_A_SESSION.finditer(path.read_text())]
    assert found == []
    assert OF_A_SESSION.search("SELECT pg_advisory_lock(1)")
    assert OF_A_SESSION.search("LISTEN changes")
