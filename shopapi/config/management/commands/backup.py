"""`backup noted FILE` and `backup restored`: record backups and restores, for the phones."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from shopapi.config.dumps import UnreadableDump, covered_by
from shopapi.sync.services import backups


class Command(BaseCommand):
    help = (
        "Tell phones about backups. Once a dump is where it is kept: backup noted drawbar.dump. "
        "After restoring one: backup restored."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("what", choices=["noted", "restored"])
        parser.add_argument("dump", nargs="?", type=Path, help="the dump, as pg_dump --format=custom wrote it")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["what"] == "restored":
            _check_rights()
            shops = backups.record_restore()
            print(f"Shops: {shops}. Phones load everything again and resend what they stored.")
            return
        if options["dump"] is None:
            raise CommandError("Name the dump: backup noted drawbar.dump")
        try:
            covered = covered_by(options["dump"])
        except UnreadableDump as error:
            raise CommandError(f"{options['dump']} cannot be read; nothing was recorded. {error}") from None
        shops = backups.record_backup(covered)
        if not shops:
            raise CommandError("This is a dump of another history or of other shops; nothing was recorded.")
        print(f"Shops: {shops}. Phones may delete what this dump holds.")


def _check_rights() -> None:
    """Check that the application may not change history: a dump does not revoke a new database's default grants."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT has_table_privilege('core_auditevent', 'UPDATE, DELETE')")
        (may_change,) = cursor.fetchone()
    if may_change:
        raise CommandError(
            "The application may change history here. Restore into a database made from template0"
            " (README, “Running it for real”)."
        )
