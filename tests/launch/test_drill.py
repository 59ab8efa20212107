"""The drill: back up with files, restore elsewhere by the commands a person types, and compare everything."""

import hashlib
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connections
from psycopg import sql

from shopapi.config.backup_sets import ABOUT, DUMP, FOLDERS
from shopapi.core.models import Outbox
from shopapi.core.tenancy import in_shop
from shopapi.quotes.tasks import make_pdf
from tests.factories import work
from tests.factories.crews import Crew, open_crew
from tests.launch.test_backup import (
    CONSTRAINTS,
    FORCED,
    POLICIES,
    RIGHTS,
    TRIGGERS,
    address,
    address_of_here,
    digests,
)
from tests.site import LiveSite

# A table of shops' rows, and the column that names the shop.
SHOP_TABLES = """
    SELECT table_name FROM information_schema.columns JOIN pg_class ON relname = table_name AND relkind = 'r'
    WHERE table_schema = 'public' AND column_name = 'shop_id' AND relrowsecurity ORDER BY 1
"""
# The restore itself raises the epoch, which makes phones load everything again.
CHANGED_BY_RESTORE = "core_synchead"


@pytest.fixture
def crews(committed_db: None) -> list[Crew]:
    """Two shops, each with a job, a customer and a quote whose PDF is a file."""
    crews = [open_crew(name) for name in ("Alder Yard", "Birch Yard")]
    for crew in crews:
        quote_id = work.an_offer(crew.owner, work.a_job(crew.owner))
        with in_shop(crew.shop_id):
            row = Outbox.objects.get(task="quotes.make_pdf", args__quote_id=str(quote_id))
        make_pdf(str(crew.shop_id), str(row.id))
    return crews


@pytest.fixture
def elsewhere(tmp_path: Path, crews: list[Crew]) -> Iterator[LiveSite]:
    """A new database as `up` makes it (from template1, with its default grants), and a new data folder."""
    here = address_of_here()
    name = f"{connections['owner'].settings_dict['NAME']}_elsewhere"
    with psycopg.connect(here, autocommit=True) as connection:
        connection.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
    (tmp_path / "site").mkdir()
    (tmp_path / "data" / "static").mkdir(parents=True)
    site = LiveSite(tmp_path / "site", name)
    site.environment["DRAWBAR_DATA"] = str(tmp_path / "data")
    try:
        yield site
    finally:
        with psycopg.connect(here, autocommit=True) as connection:
            connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


def django(site: LiveSite, *arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", *arguments]
    return subprocess.run(command, env=site.environment, capture_output=True, text=True, check=False)


def files_in(data: Path) -> dict[str, str]:
    """The MD5 of each PDF and picture of a data folder, by its path."""
    return {
        path.relative_to(data).as_posix(): hashlib.md5(path.read_bytes(), usedforsecurity=False).hexdigest()
        for name in FOLDERS
        for path in (data / name).rglob("*")
        if path.is_file()
    }


def test_drill(crews: list[Crew], elsewhere: LiveSite, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "backup"
    # Before it: a backup that was made is then noted for each device.
    with psycopg.connect(address_of_here()) as here:
        before = digests(here)
    call_command("backup", "make", str(folder))
    # Files of earlier tests of this run lie there too.
    stored = files_in(settings.DATA_DIR)
    assert len(stored) >= 2
    assert capsys.readouterr().out == f"{folder}: shops 2, files {len(stored)}. Keep SECRET_KEY with it.\n"
    prepared = django(elsewhere, "shopapi.config.prepare")
    assert prepared.returncode == 0, prepared.stderr
    restored = django(elsewhere, "django", "restore", str(folder))
    assert restored.stdout.startswith(f"Shops: 2, files: {len(stored)}. "), restored.stderr
    there_url = address(address_of_here(), f"{connections['owner'].settings_dict['NAME']}_elsewhere")
    with psycopg.connect(address_of_here()) as here, psycopg.connect(there_url) as there:
        after = digests(there)
        assert len(before) > 60
        assert {table for table in before if before[table] != after.get(table)} == {CHANGED_BY_RESTORE}
        for question in (POLICIES, FORCED, CONSTRAINTS, TRIGGERS, RIGHTS):
            assert there.execute(question).fetchall() == here.execute(question).fetchall()
        tables = [table for (table,) in there.execute(SHOP_TABLES).fetchall()]
    _check_row_security(there_url.replace("drawbar_owner@", "drawbar_app@"), tables, crews)
    assert files_in(tmp_path / "data") == stored
    # A second time it is refused: there is a shop now.
    again = django(elsewhere, "django", "restore", str(folder))
    assert again.returncode == 2
    assert again.stderr == (
        "CommandError: There is a shop in this database: a backup is restored into an empty one only.\n"
    )


def _check_row_security(app_url: str, tables: list[str], crews: list[Crew]) -> None:
    """What the tests of row security hold of the original, on the copy: reads, writes across shops, history."""
    assert len(tables) > 50
    alder, birch = (crew.shop_id for crew in crews)
    with psycopg.connect(app_url, autocommit=True) as app:
        for table in tables:
            count = sql.SQL("SELECT count(*), count(*) FILTER (WHERE shop_id <> {}) FROM {}").format(
                sql.Literal(alder), sql.Identifier(table)
            )
            assert app.execute(count).fetchone() == (0, 0), f"{table} without a shop"
            with app.transaction():
                app.execute("SELECT set_config('app.shop_id', %s, true)", [str(alder)])
                [(_, others)] = app.execute(count).fetchall()
                assert others == 0, table
        with app.transaction():
            app.execute("SELECT set_config('app.shop_id', %s, true)", [str(alder)])
            [(customers,)] = app.execute("SELECT count(*) FROM customers_customer").fetchall()
            assert customers >= 1
            moved = app.execute("UPDATE customers_customer SET notes = 'x' WHERE shop_id = %s", [birch])
            assert moved.rowcount == 0
        for statement, error in (
            ("UPDATE customers_customer SET shop_id = %s", psycopg.errors.InsufficientPrivilege),
            ("UPDATE core_auditevent SET event = %s", psycopg.errors.InsufficientPrivilege),
        ):
            with pytest.raises(error), app.transaction():
                app.execute("SELECT set_config('app.shop_id', %s, true)", [str(alder)])
                app.execute(statement, [birch])
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            app.execute("TRUNCATE customers_customer")


def test_backup_is_refused_with_one_line(crews: list[Crew], tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    with pytest.raises(CommandError, match=r"there is there already: name a folder that is not\.$"):
        call_command("backup", "make", str(tmp_path / "there"))
    with pytest.raises(CommandError, match="is not a whole backup"):
        call_command("restore", str(tmp_path / "nothing"))
    folder = tmp_path / "backup"
    call_command("backup", "make", str(folder))
    with pytest.raises(CommandError, match="There is a shop in this database"):
        call_command("restore", str(folder))
    about = json.loads((folder / ABOUT).read_text())
    about["migrations"].append(["jobs", "9999_of_tomorrow"])
    (folder / ABOUT).write_text(json.dumps(about))
    with pytest.raises(CommandError, match=r"which is newer than .* \(it has jobs.9999_of_tomorrow\): restore it with"):
        call_command("restore", str(folder))
    os.truncate(folder / DUMP, 1000)
    with pytest.raises(CommandError, match="is not a whole backup"):
        call_command("restore", str(folder))


def test_program_refuses_the_database_of_a_newer_version(crews: list[Crew], live_site: LiveSite) -> None:
    with connections["owner"].cursor() as cursor:
        cursor.execute("INSERT INTO django_migrations (app, name, applied) VALUES ('jobs', '9999_of_tomorrow', now())")
    try:
        started = django(live_site, "shopapi.config.prepare")
    finally:
        with connections["owner"].cursor() as cursor:
            cursor.execute("DELETE FROM django_migrations WHERE name = '9999_of_tomorrow'")
    assert started.returncode == os.EX_CONFIG
    assert started.stderr == (
        f"The database was made by a newer version than {settings.VERSION} (it has jobs.9999_of_tomorrow): start that "
        "version again, or restore a backup from before the upgrade (README, “Upgrading”).\n"
    )
    assert django(live_site, "shopapi.config.prepare").returncode == 0
