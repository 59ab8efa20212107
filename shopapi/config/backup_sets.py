"""A whole backup in one folder: a dump of the database, the files, and which version made it; and its way back."""

import json
import os
import shutil
import subprocess
import tarfile
from dataclasses import dataclass
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db import connection, connections

from shopapi.config.dumps import UnreadableDump, covered_by, server_program
from shopapi.config.versions import unknown_migrations
from shopapi.core.clock import now
from shopapi.sync.services import backups

DUMP, FILES, ABOUT = "drawbar.dump", "files.tar", "about.json"
# What lies in the data folder besides the servers' own data: PDFs and pictures (those in a bucket are not here).
FOLDERS = ("documents", "pictures")
# The state of a database made from `template0`: a dump does not take back what a new one grants by itself.
EMPTY = """
    DROP SCHEMA public CASCADE;
    CREATE SCHEMA public;
    ALTER SCHEMA public OWNER TO pg_database_owner;
    GRANT USAGE ON SCHEMA public TO PUBLIC;
    ALTER DEFAULT PRIVILEGES REVOKE ALL ON TABLES FROM drawbar_app;
    ALTER DEFAULT PRIVILEGES REVOKE ALL ON SEQUENCES FROM drawbar_app;
"""


class BackupRefused(Exception):
    """The backup or the restore cannot be done; the message is one line with the way out."""


@dataclass(frozen=True)
class BackupCounts:
    shops: int
    files: int


def make_backup(folder: Path) -> BackupCounts:
    """Back up into a new folder, check that it is whole, and tell phones what it holds.

    The dump comes first: files are only added, so that every file the dump names is in the archive.

    Raises BackupRefused; the folder is then not there.
    """
    if folder.exists():
        raise BackupRefused(f"{folder} is there already: name a folder that is not.")
    fresh = folder.with_name(folder.name + ".new")
    shutil.rmtree(fresh, ignore_errors=True)
    try:
        fresh.mkdir(mode=0o700, parents=True)
        _run("pg_dump", "--format=custom", f"--file={fresh / DUMP}")
        files = _pack(fresh / FILES)
        about = {"version": settings.VERSION, "made_at": now().isoformat(), "migrations": _migrations()}
        (fresh / ABOUT).write_text(json.dumps(about, indent=1) + "\n", "utf-8")
        covered = covered_by(fresh / DUMP)
        fresh.rename(folder)
    except (UnreadableDump, OSError) as error:
        shutil.rmtree(fresh, ignore_errors=True)
        raise BackupRefused(f"No backup was made: {error}") from None
    except BackupRefused:
        shutil.rmtree(fresh, ignore_errors=True)
        raise
    return BackupCounts(backups.record_backup(covered), files)


def restore_backup(folder: Path) -> BackupCounts:
    """Restore a backup into an installation without a shop; phones then load everything again.

    Raises BackupRefused; nothing was changed unless the message says so.
    """
    try:
        about = json.loads((folder / ABOUT).read_text("utf-8"))
        covered_by(folder / DUMP)
    except (OSError, ValueError, UnreadableDump) as error:
        raise BackupRefused(f"{folder} is not a whole backup: {error}") from None
    newer = unknown_migrations({(app, name) for app, name in about["migrations"]})
    if newer:
        raise BackupRefused(
            f"This backup was made by version {about['version']}, which is newer than {settings.VERSION} (it has "
            f"{newer[0]}): restore it with that version."
        )
    if _has_shop():
        raise BackupRefused("There is a shop in this database: a backup is restored into an empty one only.")
    with connections["owner"].cursor() as cursor:
        cursor.execute(EMPTY)
    name = str(connections["owner"].settings_dict["NAME"])
    _run("pg_restore", "--exit-on-error", "--single-transaction", f"--dbname={name}", str(folder / DUMP))
    files = _unpack(folder / FILES)
    check_rights()
    return BackupCounts(backups.record_restore(), files)


def check_rights() -> None:
    """Check that the application may not change history: a dump does not revoke a new database's default grants.

    Raises BackupRefused.
    """
    with connection.cursor() as cursor:
        cursor.execute("SELECT has_table_privilege('core_auditevent', 'UPDATE, DELETE')")
        (may_change,) = cursor.fetchone()
    if may_change:
        raise BackupRefused(
            "The application may change history here. Restore into a database made from template0"
            " (README, “Running it for real”)."
        )


def _has_shop() -> bool:
    owner = connections["owner"]
    table = apps.get_model("accounts", "Shop")._meta.db_table
    return (
        table in owner.introspection.table_names()
        and apps.get_model("accounts", "Shop").objects.using("owner").exists()
    )


def _migrations() -> list[list[str]]:
    with connections["owner"].cursor() as cursor:
        cursor.execute("SELECT app, name FROM django_migrations ORDER BY app, name")
        return [list(row) for row in cursor.fetchall()]


def _run(program: str, *arguments: str) -> None:
    """Run one of PostgreSQL's programs as the owner; its password is in the environment, not on the command line."""
    given = connections["owner"].settings_dict
    names = {"PGHOST": "HOST", "PGPORT": "PORT", "PGUSER": "USER", "PGPASSWORD": "PASSWORD", "PGDATABASE": "NAME"}
    environment = {variable: str(given[name]) for variable, name in names.items() if given[name]}
    try:
        command = [server_program(program), *arguments]
        done = subprocess.run(  # noqa: S603 - a program of the server's own
            command, env=dict(os.environ) | environment, capture_output=True, text=True, check=False
        )
    except (UnreadableDump, OSError) as error:
        raise BackupRefused(str(error)) from None
    if done.returncode:
        raise BackupRefused(f"{program} failed: {(done.stderr.strip().splitlines() or ['no reason given'])[-1]}")


def _pack(archive: Path) -> int:
    count = 0
    with tarfile.open(archive, "w") as packing:
        for name in FOLDERS:
            for path in sorted((settings.DATA_DIR / name).rglob("*")):
                if path.is_file():
                    packing.add(path, path.relative_to(settings.DATA_DIR).as_posix())
                    count += 1
    return count


def _unpack(archive: Path) -> int:
    with tarfile.open(archive) as packed:
        members = [member for member in packed if member.isfile() and Path(member.name).parts[0] in FOLDERS]
        packed.extractall(settings.DATA_DIR, members, filter="data")
    return len(members)
