"""What phones are given: no change is missed, whoever writes it, and nothing is given to whom it does not concern."""

import random
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from uuid import UUID

import pytest
from django.db import connection, connections, transaction
from django.db.utils import IntegrityError, ProgrammingError

from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer, Site
from shopapi.quotes.models import ApprovalLink, OwnerQuestion, Quote
from tests.factories.hours import a_history
from tests.sync import story, truth
from tests.sync.conftest import SHOP, House
from tests.sync.phone import Phone


def test_writes_of_every_kind_reach_the_feed(house: House, phone: Phone) -> None:
    """I9 for each synced table: an update by raw SQL and by the ORM's bulk ways raises the row's number."""
    story.visit(phone, shop=SHOP)
    phone.write("record_finding", id=phone.mint(), job_id=phone.mint(), words="Nowhere", rank="needed")
    phone.write("start_clock", id=phone.mint(), kind="errand", started_at="2026-05-01T09:00:00Z")
    picture = {"about_kind": "job", "about_id": phone.mint(), "taken_at": "2026-05-01T09:00:00Z", "bytes": 9}
    phone.write("add_attachment", id=phone.mint(), sha256="0" * 64, **picture)
    phone.sync()
    a_history(house.id)
    _ask_an_owner(house)
    for kind, table in truth.TABLES.items():
        column = "id" if kind == "shop" else "shop_id"
        before = _numbers(house)
        # As the owner: evidence is not the application's to change.
        truth.tell(f"UPDATE {table} SET changed_at = now() WHERE {column} = %s", house.id)
        risen = {of for (of, _), seq in _numbers(house).items() if seq != before.get((of, _))}
        assert risen == {kind}
    ids = [uuid7() for _ in range(3)]
    with in_shop(house.id):
        Customer.objects.bulk_create(Customer(id=row_id, shop_id=house.id, name="Bulk") for row_id in ids)
    with in_shop(house.id):
        Customer.objects.filter(id=ids[0]).update(name="By update")
        second = Customer.objects.get(id=ids[1])
        second.name = "By bulk_update"
        Customer.objects.bulk_update([second], ["name"])
        Customer.objects.filter(id=ids[2]).delete()
    phone.sync()
    assert [phone.rows("customer")[str(i)]["name"] for i in ids[:2]] == ["By update", "By bulk_update"]
    assert str(ids[2]) not in phone.rows("customer")
    truth.assert_sound(house.id)
    truth.assert_shows_everything(phone)


def _ask_an_owner(house: House) -> None:
    """A request and a question of its owner, as rows alone."""
    with in_shop(house.id):
        quote = Quote.objects.order_by("id").first()
        assert quote is not None
        asked = {"quote": quote, "revision": 1, "digest": "0" * 64, "channel": "qr", "token_hash": uuid7().hex}
        link = ApprovalLink.objects.create(shop_id=house.id, expires_at=datetime.now(UTC), **asked)
        OwnerQuestion.objects.create(shop_id=house.id, quote=quote, link=link, words="Why?", asked_at=datetime.now(UTC))


def _numbers(house: House) -> dict[tuple[str, str], int]:
    found = truth.ask("SELECT kind, row_id::text, seq FROM core_syncchange WHERE shop_id = %s", house.id)
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
def test_the_application_cannot_write_the_feed(house: House, sql: str) -> None:
    with pytest.raises(ProgrammingError, match="permission denied"), in_shop(house.id), connection.cursor() as cursor:
        cursor.execute(sql)


def test_a_number_is_not_shared_with_a_transaction_of_another_cluster(house: House) -> None:
    """After a restore the ids of transactions begin anew: one may meet its like in the newest commit."""
    with in_shop(house.id), connection.cursor() as cursor:
        cursor.execute("SELECT pg_current_xact_id()::text::bigint")
        (mine,) = cursor.fetchone()
        (head,) = truth.ask("SELECT seq FROM core_synchead WHERE shop_id = %s", house.id)
        truth.tell("UPDATE core_synccommit SET transaction = %s WHERE shop_id = %s", mine, house.id)
        Customer.objects.create(id=uuid7(), shop_id=house.id, name="After the restore")
    assert truth.ask("SELECT seq FROM core_synchead WHERE shop_id = %s", house.id) == [(head[0] + 1,)]


def test_one_commit_is_one_number_and_no_page_splits_it(house: House, phone: Phone) -> None:
    """I8: small pages cut between commits only; what was written together arrives together."""
    phone.sync()
    for nth in range(6):
        with in_shop(house.id):
            for _ in range(nth * 15 + 1):
                customer = Customer.objects.create(shop_id=house.id, name=f"Batch {nth}", notes="n" * 200)
                Site.objects.create(shop_id=house.id, customer=customer, label="Yard")
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
    assert names == [f"Batch {nth}" for nth in range(6)]
    truth.assert_shows_everything(phone)


def test_eight_writers_against_a_polling_reader(house: House, phone: Phone, phone_of: Callable[..., Phone]) -> None:
    """Scenario 41: by push, REST, the ORM's bulk ways and raw SQL at once; the reader misses nothing."""
    phone.sync()
    writers = [phone_of(house.owner_key, seed=100 + n) for n in range(8)]
    draw = random.Random(5)  # noqa: S311
    pauses = [[draw.uniform(0, 0.02) for _ in range(12)] for _ in writers]
    stop = threading.Event()

    def write(n: int) -> None:
        writer = writers[n]
        for turn, pause in enumerate(pauses[n]):
            name = f"W{n}-{turn}"
            if n < 3:
                writer.write("add_customer", id=writer.mint(), name=name)
                writer.push()
            elif n < 5:
                args = {"id": writer.mint(), "name": name}
                made = writer.call("POST", "customers", args, **{"Idempotency-Key": writer.mint()})
                assert made.status == 201
            else:
                _write_past_services(house, n, name, pause)
            time.sleep(pause)
        connections.close_all()

    def read() -> int:
        pulls = 0
        while not stop.is_set():
            phone.pull()
            pulls += 1
        return pulls

    with ThreadPoolExecutor(9) as pool:
        reading = pool.submit(read)
        for writing in [pool.submit(write, n) for n in range(8)]:
            writing.result()
        stop.set()
        assert reading.result() > 5
    phone.pull()
    assert len(phone.rows("customer")) == 96
    truth.assert_shows_everything(phone)
    truth.assert_sound(house.id)


def _write_past_services(house: House, way: int, name: str, pause: float) -> None:
    with in_shop(house.id):
        if way == 5:
            Customer.objects.create(shop_id=house.id, name=name)
        elif way == 6:
            Customer.objects.bulk_create([Customer(shop_id=house.id, name=name)])
        else:
            with connection.cursor() as cursor:
                columns = "id, shop_id, name, person, phone, phone_digits, email, address, notes, tax_exempt"
                cursor.execute(
                    f"INSERT INTO customers_customer ({columns}, exempt_reason, archived)"
                    " VALUES (%s, %s, %s, '', '', '', '', '', '', false, '', false)",
                    [uuid7(), house.id, name],
                )
        # The commit comes late: a reader must not have passed its number by.
        time.sleep(pause)


def test_an_answer_of_nothing_new_and_acks_of_refusals(house: House, phone: Phone) -> None:
    """304 when nothing has changed; a push of refused commands alone still brings their acknowledgement."""
    phone.sync()
    assert phone.pull_once().status == 304
    entry = phone.write("move_job", id=phone.mint(), stage="repair")
    phone.push()
    assert (entry.status, entry.acked) == ("rejected", False)
    answer = phone.pull_once()
    assert (answer.status, answer.body["rows"], answer.body["acks"]) == (200, {}, {phone.id: 1})
    assert entry.acked
    assert phone.pull_once().status == 304


# New snapshots


# Long enough not to stand in an id or a moment by chance.
COST = 7_770_001


def test_less_to_see_means_a_new_snapshot_without_costs(
    house: House, phone: Phone, phone_of: Callable[..., Phone]
) -> None:
    """A member who may no longer see costs gets everything anew; their queue stays, no cost is left on the phone."""
    truth.tell("UPDATE accounts_member SET may_see_cost = true WHERE id = %s", house.mechanic_id)
    seen = story.visit(phone, shop=SHOP)
    drawn = story.begin_quote(phone, seen.job_id, customer="C", machine="m")
    line = story.part(drawn.id, phone.mint(), 1, 0) | {"unit_price_minor": None, "unit_cost_minor": COST}
    phone.write("put_quote_line", **line)
    phone.sync()
    other = phone_of(house.mechanic_key, seed=3)
    other.sync()
    assert other.rows("quote_line")[line["id"]]["unit_cost_minor"] == COST
    truth.tell("UPDATE accounts_member SET may_see_cost = false WHERE id = %s", house.mechanic_id)
    waiting = other.write("add_customer", id=other.mint(), name="Written before the change was known")
    other.sync()
    assert other.resyncs == ["view"]
    assert (waiting.status, waiting.acked) == ("applied", True)
    assert other.rows("quote_line")[line["id"]]["unit_cost_minor"] is None
    assert str(COST) not in str(other.base)
    assert all(not row["basis"]["part_bands"] for row in other.rows("quote").values())
    assert all(not row["book"]["part_bands"] for row in other.rows("shop").values())
    other.sync()
    assert other.resyncs == ["view"]
    truth.assert_shows_everything(other)


def test_a_cursor_below_the_horizon_is_mended_once(house: House, phone: Phone) -> None:
    story.visit(phone, shop=SHOP)
    phone.sync()
    gone = str(uuid7())
    phone.base["customer", gone] = {"id": gone}
    truth.tell("UPDATE core_synchead SET horizon = seq + 1, seq = seq WHERE shop_id = %s", house.id)
    waiting = phone.write("add_customer", id=phone.mint(), name="Meanwhile")
    phone.push()
    phone.pull()
    assert phone.resyncs == ["horizon"]
    assert waiting.acked
    assert ("customer", gone) not in phone.base
    truth.assert_shows_everything(phone)


@pytest.mark.parametrize("cursor", ["", "1.0", "x.y.z.w", "1.-1.a.b", "9.0..v", "1.99999.ab.cd", f"1.{'9' * 30}.a.b"])
def test_a_cursor_that_was_never_given_out_is_a_fork(house: House, phone: Phone, cursor: str) -> None:
    phone.sync()
    phone.cursor = cursor
    answer = phone.pull_once()
    assert (answer.status, answer.body["resync"]) == (200, "fork")


def test_after_a_restore_phones_bring_back_what_was_lost(
    house: House, phone: Phone, phone_of: Callable[..., Phone]
) -> None:
    """Scenario 38 and I17: the server falls back to an older state and is written to before the phones return."""
    other = phone_of(house.owner_key, seed=2)
    story.visit(phone, shop=SHOP)
    phone.sync()
    other.sync()
    story.visit(other, shop=SHOP, nth=1)
    saved = _dump(house)
    other.sync()
    phone.sync()
    story.visit(phone, shop=SHOP, nth=2)
    phone.sync()
    other.sync()
    before = truth.content(house.id)
    _restore(saved)
    with in_shop(house.id):
        for _ in range(40):
            # The new history passes the old one's numbers.
            with transaction.atomic():
                Customer.objects.create(shop_id=house.id, name="After the restore")
    for one in (other, phone, other):
        one.sync()
    assert phone.resyncs == ["fork"]
    assert other.resyncs == ["fork"]
    assert phone.base == other.base
    assert len(phone.rows("job")) == 3
    with in_shop(house.id):
        Customer.objects.filter(name="After the restore").delete()
    assert truth.content(house.id) == before
    truth.assert_sound(house.id)
    truth.assert_nothing_lost(house.id, [phone, other], [entry.id for entry in [*phone.outbox, *other.outbox]])


TABLES_OF_SHOP = (
    "SELECT c.table_name FROM information_schema.columns c JOIN information_schema.tables t USING (table_name)"
    " WHERE c.table_schema = 'public' AND c.column_name = 'shop_id' AND t.table_type = 'BASE TABLE'"
)


def _dump(house: House) -> dict[str, str]:
    """Every table of the shop as one JSON text."""
    names = [name for (name,) in truth.ask(TABLES_OF_SHOP)]
    sql = "SELECT coalesce(jsonb_agg(t), '[]')::text FROM {} t WHERE shop_id = %s"
    return {name: truth.ask(sql.format(name), house.id)[0][0] for name in names}


def _restore(saved: dict[str, str]) -> None:
    """What a restored backup is: the tables as they were, nothing of what came later."""
    with transaction.atomic(using="owner"):
        for name in saved:
            truth.tell(f"ALTER TABLE {name} DISABLE TRIGGER USER")
        truth.tell(f"TRUNCATE {', '.join(saved)} CASCADE")
        left = list(saved)
        while left:
            # A table whose rows point at another comes after it.
            name = left.pop(0)
            try:
                with transaction.atomic(using="owner"):
                    truth.tell(
                        f"INSERT INTO {name} SELECT * FROM jsonb_populate_recordset(NULL::{name}, %s::jsonb)",
                        saved[name],
                    )
            except IntegrityError:
                left.append(name)
        truth.tell("SET CONSTRAINTS ALL IMMEDIATE")
        for name in saved:
            truth.tell(f"ALTER TABLE {name} ENABLE TRIGGER USER")


def test_safe_numbers_follow_the_backups(house: House, phone: Phone) -> None:
    phone.write("add_customer", id=phone.mint(), name="In the backup")
    phone.sync()
    assert phone.safe_no == 0
    truth.tell("UPDATE core_synchead SET safe_at = %s WHERE shop_id = %s", datetime.now(UTC), house.id)
    phone.write("add_customer", id=phone.mint(), name="Not in the backup")
    phone.sync()
    assert (phone.safe_no, phone.next_no) == (1, 3)


def test_a_snapshot_in_pages_with_writes_between_them(house: House, phone: Phone) -> None:
    """Scenario 40: what is made, changed and removed while the pages are read is right after the next pull."""
    with in_shop(house.id):
        made = Customer.objects.bulk_create(Customer(id=uuid7(), shop_id=house.id, name=f"C{n}") for n in range(1100))
    page = phone.get("sync/snapshot")
    rows: dict[tuple[str, str], dict[str, object]] = {}
    pages = 1
    phone.take(rows, page["rows"])
    phone.cursor = page["cursor"]
    while page["after"] is not None:
        with in_shop(house.id):
            Customer.objects.filter(id=made[pages].id).delete()
            Customer.objects.filter(id=made[-pages].id).delete()
            Customer.objects.filter(id__in=[made[50].id, made[-50].id]).update(name=f"After page {pages}")
            Customer.objects.create(id=UUID(int=pages), shop_id=house.id, name="With an early id")
        page = phone.get("sync/snapshot", after=page["after"])
        phone.take(rows, page["rows"])
        pages += 1
    assert pages >= 3
    phone.base = rows
    phone.pull()
    truth.assert_shows_everything(phone)
