"""Whether the database was made by a newer version than this program."""

from collections.abc import Iterable

from django.conf import settings
from django.db import connections
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder


class NewerDatabase(Exception):
    """The database has migrations that this program does not know; the message is one line with the way out."""


def unknown_migrations(applied: Iterable[tuple[str, str]]) -> list[str]:
    """Those of these migrations that this program does not have, as "app.name", in order."""
    loader = MigrationLoader(None)
    disk = loader.disk_migrations or {}
    known = disk.keys() | {(app, name) for migration in disk.values() for app, name in migration.replaces}
    return sorted(f"{app}.{name}" for app, name in applied if (app, name) not in known)


def refuse_newer_database() -> None:
    """Raise NewerDatabase if the database was migrated by a newer version."""
    newer = unknown_migrations(MigrationRecorder(connections["owner"]).applied_migrations())
    if newer:
        raise NewerDatabase(
            f"The database was made by a newer version than {settings.VERSION} (it has {newer[-1]}): start that "
            "version again, or restore a backup from before the upgrade (README, “Upgrading”)."
        )
