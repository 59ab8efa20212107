"""The change feed: no write by any route is missed, and members get only rows that they may see."""

import json
import random
import threading
import time
from base64 import urlsafe_b64encode
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from uuid import UUID

import pytest
from django.db import connection, connections, transaction
from django.db.models.fields import NOT_PROVIDED
from django.db.utils import ProgrammingError

from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer, Site
from shopapi.sync.rules.cursor import decode_position, encode_position, parse_cursor
from shopapi.sync.services.backups import record_restore
from tests.factories.examples import Scene
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop
from tests.sync.shop_dump import dump_shops, restore_shops
from tests.sync.simulated_phone import SimulatedPhone


def test_writes_of_every_kind_reach_the_change_feed(shop: SyncShop, phone: SimulatedPhone) -> None:
    """I9 for each synced table: an update by raw SQL or by the ORM in bulk raises the row's seq."""
    scene = Scene(shop.owner)
    for kind in invariants.TABLES:
        scene.the(kind)
    for kind, table in invariants.TABLES.items():
        column = "id" if kind == "shop" else "shop_id"
        before = _row_seqs(shop)
        # As the owner role: the application may not change evidence.
        invariants.execute_sql(f"UPDATE {table} SET changed_at = now() WHERE {column} = %s", shop.id)
        risen = {of for (of, _), seq in _row_seqs(shop).items() if seq != before.get((of, _))}
        assert risen == {kind}
    ids = [uuid7() for _ in range(3)]
    with in_shop(shop.id):
        Customer.objects.bulk_create(Customer(id=row_id, shop_id=shop.id, name="Bulk") for row_id in ids)
    with in_shop(shop.id):
        Customer.objects.filter(id=ids[0]).update(name="By update")
        second = Customer.objects.get(id=ids[1])
        second.name = "By bulk_update"
        Customer.objects.bulk_update([second], ["name"])
        Customer.objects.filter(id=ids[2]).delete()
    phone.sync()
    assert [phone.rows("customer")[str(i)]["name"] for i in ids[:2]] == ["By update", "By bulk_update"]
    assert str(ids[2]) not in phone.rows("customer")
    invariants.assert_server_invariants(shop.id)
    invariants.assert_equals_snapshot(phone)


def _row_seqs(shop: SyncShop) -> dict[tuple[str, str], int]:
    found = invariants.query("SELECT kind, row_id::text, seq FROM core_syncchange WHERE shop_id = %s", shop.id)
    return {(kind, row_id): seq for kind, row_id, seq in found}


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE core_syncchange SET seq = 0",
        "DELETE FROM core_syncchange",
        (
            "INSERT INTO core_syncchange (shop_id, kind, row_id, seq, dead)"
            " SELECT id, 'job', id, 1, true FROM accounts_shop"
        ),
        "SELECT feed_write(id, 'job', id, true) FROM accounts_shop",
    ],
)
def test_application_role_cannot_write_the_change_feed(shop: SyncShop, sql: str) -> None:
    with pytest.raises(ProgrammingError, match="permission denied"), in_shop(shop.id), connection.cursor() as cursor:
        cursor.execute(sql)


def test_commit_seq_is_not_shared_with_another_clusters_transaction(shop: SyncShop) -> None:
    """After a restore transaction ids start over: one may equal that of the newest commit."""
    with in_shop(shop.id), connection.cursor() as cursor:
        cursor.execute("SELECT pg_current_xact_id()::text::bigint")
        (mine,) = cursor.fetchone()
        (head,) = invariants.query("SELECT seq FROM core_synchead WHERE shop_id = %s", shop.id)
        invariants.execute_sql("UPDATE core_synccommit SET transaction = %s WHERE shop_id = %s", mine, shop.id)
        Customer.objects.create(id=uuid7(), shop_id=shop.id, name="After the restore")
    assert invariants.query("SELECT seq FROM core_synchead WHERE shop_id = %s", shop.id) == [(head[0] + 1,)]


def test_commits_that_fit_on_a_page_are_not_split(shop: SyncShop, phone: SimulatedPhone) -> None:
    """I8: pages are cut between commits where they can be; a commit that fits on a page arrives whole."""
    phone.sync()
    for nth in range(9):
        with in_shop(shop.id):
            for _ in range(nth + 1):
                customer = Customer.objects.create(shop_id=shop.id, name=f"Batch {nth}", notes="n" * 200)
                Site.objects.create(shop_id=shop.id, customer=customer, label="Yard")
    batches: list[set[str]] = []
    pages = 0
    while True:
        before = set(phone.base)
        answer = phone.pull_once(max_bytes=10_000)
        if answer.status == 304:
            break
        pages += 1
        new = set(phone.base) - before
        batches.append({phone.base[key]["name"] for key in new if key[0] == "customer"})
        assert len([k for k in new if k[0] == "site"]) == len([k for k in new if k[0] == "customer"])
        if not answer.body["more"]:
            break
    assert pages >= 4
    names = [name for batch in batches for name in sorted(batch)]
    assert names == [f"Batch {nth}" for nth in range(9)]
    invariants.assert_equals_snapshot(phone)


MOST_BYTES = 300_000


def test_commit_of_thousands_of_rows_comes_in_pages(shop: SyncShop, phone: SimulatedPhone) -> None:
    """An import of 6,000 rows in one transaction: no answer is larger than 300 kB, no site comes before its customer.

    Rows of it that change, or go, meanwhile are right in the end. Nothing is acknowledged before all of it came.
    """
    phone.sync()
    ids = _import_customers(shop, 3000)
    entry = phone.write("add_customer", id=phone.new_id(), name="Behind the import")
    phone.push()
    pages = 0
    while True:
        answer = phone.pull_once()
        pages += 1
        assert len(json.dumps(answer.body, separators=(",", ":"), ensure_ascii=False).encode()) <= MOST_BYTES
        # A customer who changes in between comes with that later commit.
        customers = {*phone.rows("customer"), str(ids[0]), str(ids[-1])}
        assert {site["customer_id"] for site in phone.rows("site").values()} <= customers
        assert entry.acked != answer.body["more"]
        if pages == 2:
            with in_shop(shop.id):
                Customer.objects.filter(id__in=[ids[0], ids[-1]]).update(name="Other")
                Site.objects.filter(customer_id__in=[ids[1], ids[-2]]).delete()
                Customer.objects.filter(id__in=[ids[1], ids[-2]]).delete()
        if not answer.body["more"]:
            break
    assert pages >= 10
    names = {row_id: row["name"] for row_id, row in phone.rows("customer").items()}
    assert len(names) == 2999
    assert [row_id for row_id, name in names.items() if name == "Other"] == [str(ids[0]), str(ids[-1])]
    invariants.assert_equals_snapshot(phone)


def _import_customers(shop: SyncShop, count: int) -> list[UUID]:
    """So many customers with a site each, all in one transaction."""
    ids = sorted(uuid7() for _ in range(count))
    with in_shop(shop.id):
        Customer.objects.bulk_create(
            Customer(id=row_id, shop_id=shop.id, name=f"No {nth}", notes="n" * 200) for nth, row_id in enumerate(ids)
        )
        Site.objects.bulk_create(Site(id=uuid7(), shop_id=shop.id, customer_id=row_id, label="Yard") for row_id in ids)
    return ids


def test_phone_within_a_large_commit_goes_on_after_a_break(shop: SyncShop, phone: SimulatedPhone) -> None:
    """Its place is in the cursor: after a restart it goes on. A place of another version starts the commit over."""
    phone.sync()
    _import_customers(shop, 600)
    assert phone.pull_once(max_bytes=50_000).body["more"]
    assert phone.cursor is not None
    within = parse_cursor(phone.cursor)
    assert within is not None
    held = len(phone.rows("customer"))
    position = decode_position(within.within)
    assert position is not None
    assert position.kind == "customer"
    assert phone.pull_once(max_bytes=50_000).body["more"]
    assert len(phone.rows("customer")) > held
    phone.cursor = str(replace(within, within=encode_position(replace(position, order="another"))))
    phone.pull(max_bytes=50_000)
    assert phone.resync_reasons == []
    invariants.assert_equals_snapshot(phone)


def test_place_in_a_commit_of_another_history_is_a_fork(shop: SyncShop, phone: SimulatedPhone) -> None:
    """A restored server has other commits under the same numbers: its token does not fit."""
    phone.sync()
    _import_customers(shop, 600)
    phone.pull_once(max_bytes=50_000)
    invariants.execute_sql("UPDATE core_synccommit SET token = gen_random_uuid() WHERE shop_id = %s", shop.id)
    assert phone.pull_once().body["resync"] == "fork"


def test_eight_concurrent_writers_and_a_polling_reader(
    shop: SyncShop, phone: SimulatedPhone, new_phone: Callable[..., SimulatedPhone]
) -> None:
    """Scenario 41: push, REST, bulk ORM writes and raw SQL at once; the reader misses nothing."""
    phone.sync()
    writers = [new_phone(shop.owner_key, seed=100 + n) for n in range(8)]
    draw = random.Random(5)  # noqa: S311
    pauses = [[draw.uniform(0, 0.02) for _ in range(12)] for _ in writers]
    stop = threading.Event()

    def write(n: int) -> None:
        try:
            for turn, pause in enumerate(pauses[n]):
                _write_one(shop, writers[n], n, f"W{n}-{turn}", pause)
                time.sleep(pause)
        finally:
            connections.close_all()

    def read() -> int:
        pulls = 0
        try:
            while not stop.is_set():
                phone.pull()
                pulls += 1
        finally:
            connections.close_all()
        return pulls

    with ThreadPoolExecutor(9) as pool:
        reading = pool.submit(read)
        try:
            for writing in [pool.submit(write, n) for n in range(8)]:
                writing.result()
        finally:
            # The pool waits for the reader, also when a writer has failed.
            stop.set()
        assert reading.result() > 5
    phone.pull()
    assert len(phone.rows("customer")) == 96
    invariants.assert_equals_snapshot(phone)
    invariants.assert_server_invariants(shop.id)


def _write_one(shop: SyncShop, writer: SimulatedPhone, way: int, name: str, pause: float) -> None:
    if way < 3:
        writer.write("add_customer", id=writer.new_id(), name=name)
        writer.push()
    elif way < 5:
        args = {"id": writer.new_id(), "name": name}
        made = writer.call("POST", "customers", args, **{"Idempotency-Key": writer.new_id()})
        assert made.status == 201
    else:
        _write_directly(shop, way, name, pause)


def _write_directly(shop: SyncShop, way: int, name: str, pause: float) -> None:
    with in_shop(shop.id):
        if way == 5:
            Customer.objects.create(shop_id=shop.id, name=name)
        elif way == 6:
            Customer.objects.bulk_create([Customer(shop_id=shop.id, name=name)])
        else:
            row = Customer(id=uuid7(), shop_id=shop.id, name=name)
            fields = [field for field in Customer._meta.concrete_fields if field.db_default is NOT_PROVIDED]
            values = {str(field.column): field.pre_save(row, add=True) for field in fields}
            places = ", ".join(["%s"] * len(values))
            with connection.cursor() as cursor:
                cursor.execute(
                    f"INSERT INTO customers_customer ({', '.join(values)}) VALUES ({places})",
                    list(values.values()),
                )
        # The commit comes late: a reader must not have skipped its seq.
        time.sleep(pause)


def test_pull_without_changes_and_acks_of_rejected_commands(shop: SyncShop, phone: SimulatedPhone) -> None:
    """304 when nothing has changed; a push of refused commands alone still brings their acknowledgement."""
    phone.sync()
    assert phone.pull_once().status == 304
    entry = phone.write("add_customer", id=phone.new_id(), name="")
    phone.push()
    assert (entry.status, entry.acked) == ("rejected", False)
    answer = phone.pull_once()
    assert (answer.status, answer.body["rows"], answer.body["acks"]) == (200, {}, {phone.id: 1})
    assert entry.acked
    assert phone.pull_once().status == 304


# New snapshots


# Long enough not to stand in an id or a moment by chance.
COST = 7_770_001


def test_losing_cost_permission_forces_a_snapshot_without_costs(
    shop: SyncShop, phone: SimulatedPhone, new_phone: Callable[..., SimulatedPhone]
) -> None:
    """A member who may no longer see costs gets a new snapshot; the queue stays, no cost is left on the phone."""
    invariants.execute_sql("UPDATE accounts_member SET may_see_cost = true WHERE id = %s", shop.mechanic_id)
    seen = scenario.record_visit(phone, shop=SHOP)
    drawn = scenario.start_quote(phone, seen.job_id, customer="C", machine="m")
    line = scenario.part_line(drawn.id, phone.new_id(), 1, 0) | {"unit_price_minor": None, "unit_cost_minor": COST}
    phone.write("put_quote_line", **line)
    phone.sync()
    other = new_phone(shop.mechanic_key, seed=3)
    other.sync()
    assert other.rows("quote_line")[line["id"]]["unit_cost_minor"] == COST
    invariants.execute_sql("UPDATE accounts_member SET may_see_cost = false WHERE id = %s", shop.mechanic_id)
    waiting = other.write("add_customer", id=other.new_id(), name="Written before the change was known")
    other.sync()
    assert other.resync_reasons == ["view"]
    assert (waiting.status, waiting.acked) == ("applied", True)
    assert other.rows("quote_line")[line["id"]]["unit_cost_minor"] is None
    assert str(COST) not in str(other.base)
    assert all(not row["basis"]["part_bands"] for row in other.rows("quote").values())
    assert all(not row["prices"]["part_bands"] for row in other.rows("price_book").values())
    other.sync()
    assert other.resync_reasons == ["view"]
    invariants.assert_equals_snapshot(other)


def test_cursor_below_the_horizon_resyncs_once(shop: SyncShop, phone: SimulatedPhone) -> None:
    scenario.record_visit(phone, shop=SHOP)
    phone.sync()
    gone = str(uuid7())
    phone.base["customer", gone] = {"id": gone}
    invariants.execute_sql("UPDATE core_synchead SET horizon = seq + 1, seq = seq WHERE shop_id = %s", shop.id)
    waiting = phone.write("add_customer", id=phone.new_id(), name="Meanwhile")
    phone.push()
    phone.pull()
    assert phone.resync_reasons == ["horizon"]
    assert waiting.acked
    assert ("customer", gone) not in phone.base
    invariants.assert_equals_snapshot(phone)


@pytest.mark.parametrize("cursor", ["", "1.0", "x.y.z.w", "1.-1.a.b", "9.0..v", "1.99999.ab.cd", f"1.{'9' * 30}.a.b"])
def test_forged_cursor_is_a_fork(shop: SyncShop, phone: SimulatedPhone, cursor: str) -> None:
    phone.sync()
    phone.cursor = cursor
    answer = phone.pull_once()
    assert (answer.status, answer.body["resync"]) == (200, "fork")


@pytest.mark.parametrize("recorded", [False, True], ids=["not recorded", "recorded"])
def test_phones_resend_lost_commands_after_a_restore(
    shop: SyncShop, phone: SimulatedPhone, new_phone: Callable[..., SimulatedPhone], *, recorded: bool
) -> None:
    """Scenario 38 and I17: the server is restored to an older state and written to before the phones return.

    `recorded`: the operator has run `backup restored`, which raises the epoch. Of what came after the backup, only
    what was written without a phone is lost.
    """
    other = new_phone(shop.owner_key, seed=2)
    scenario.record_visit(phone, shop=SHOP)
    phone.sync()
    other.sync()
    scenario.record_visit(other, shop=SHOP, nth=1)
    saved = dump_shops()
    other.sync()
    phone.sync()
    scenario.record_visit(phone, shop=SHOP, nth=2)
    phone.sync()
    other.sync()
    before = invariants.content_hash(shop.id)
    with in_shop(shop.id):
        Customer.objects.create(shop_id=shop.id, name="Written without a phone")
    for one in (other, phone):
        one.sync()
        assert "Written without a phone" in {row["name"] for row in one.rows("customer").values()}
    restore_shops(saved)
    if recorded:
        record_restore()
    with in_shop(shop.id):
        for _ in range(40):
            # The new history has more commits than the old one.
            with transaction.atomic():
                Customer.objects.create(shop_id=shop.id, name="After the restore")
    for one in (other, phone, other):
        one.sync()
    assert phone.resync_reasons == ["fork"]
    assert other.resync_reasons == ["fork"]
    assert phone.base == other.base
    assert len(phone.rows("job")) == 3
    with in_shop(shop.id):
        Customer.objects.filter(name="After the restore").delete()
    assert invariants.content_hash(shop.id) == before
    invariants.assert_server_invariants(shop.id)
    invariants.assert_no_command_lost(shop.id, [phone, other], [entry.id for entry in [*phone.outbox, *other.outbox]])


def test_safe_no_follows_backups(shop: SyncShop, phone: SimulatedPhone) -> None:
    phone.write("add_customer", id=phone.new_id(), name="In the backup")
    phone.sync()
    assert phone.safe_no == 0
    invariants.execute_sql("UPDATE accounts_device SET safe_no = next_no - 1 WHERE shop_id = %s", shop.id)
    phone.write("add_customer", id=phone.new_id(), name="Not in the backup")
    phone.sync()
    assert (phone.safe_no, phone.next_no) == (1, 3)


def test_paged_snapshot_with_writes_between_pages(shop: SyncShop, phone: SimulatedPhone) -> None:
    """Scenario 40: rows created, changed and removed while the pages are read are right after the next pull."""
    with in_shop(shop.id):
        made = Customer.objects.bulk_create(Customer(id=uuid7(), shop_id=shop.id, name=f"C{n}") for n in range(1100))
    page = phone.get("sync/snapshot")
    rows: dict[tuple[str, str], dict[str, object]] = {}
    pages = 1
    phone.merge_rows(rows, page["rows"])
    phone.cursor = page["cursor"]
    while page["after"] is not None:
        with in_shop(shop.id):
            Customer.objects.filter(id=made[pages].id).delete()
            Customer.objects.filter(id=made[-pages].id).delete()
            Customer.objects.filter(id__in=[made[50].id, made[-50].id]).update(name=f"After page {pages}")
            Customer.objects.create(id=UUID(int=pages), shop_id=shop.id, name="With an early id")
        page = phone.get("sync/snapshot", after=page["after"])
        phone.merge_rows(rows, page["rows"])
        pages += 1
    assert pages >= 3
    phone.base = rows
    phone.pull()
    invariants.assert_equals_snapshot(phone)


def test_snapshot_across_an_upgrade_skips_no_kind(shop: SyncShop, phone: SimulatedPhone) -> None:
    """A page from an older server has another order of kinds: the snapshot starts over and is complete."""
    with in_shop(shop.id):
        Customer.objects.bulk_create(Customer(id=uuid7(), shop_id=shop.id, name=f"C{n}") for n in range(600))
    page = phone.get("sync/snapshot")
    rows: dict[tuple[str, str], dict[str, object]] = {}
    phone.merge_rows(rows, page["rows"])
    phone.cursor = page["cursor"]
    place = decode_position(page["after"])
    assert place is not None
    assert place.kind == "customer"
    # As builds without the order wrote it, and as one with one more kind did, each of them past the customers.
    for text in (f"meter_reading:{place.row_id}", f"another:meter_reading:{place.row_id}"):
        page = phone.get("sync/snapshot", after=urlsafe_b64encode(text.encode()).decode())
        assert page["rows"].keys() >= {"shop", "member", "customer"}
        phone.merge_rows(rows, page["rows"])
    while page["after"] is not None:
        page = phone.get("sync/snapshot", after=page["after"])
        phone.merge_rows(rows, page["rows"])
    phone.base = rows
    phone.pull()
    invariants.assert_equals_snapshot(phone)
    assert phone.call("GET", f"sync/snapshot?device={phone.id}&after=nonsense").status == 422
