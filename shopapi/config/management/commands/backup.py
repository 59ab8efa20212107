"""`backup make FOLDER`, `backup noted FILE`, `backup restored`: make a backup; record one, or a restore, for phones."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shopapi.config.backup_sets import BackupRefused, check_rights, make_backup
from shopapi.config.dumps import UnreadableDump, covered_by
from shopapi.sync.services import backups


class Command(BaseCommand):
    help = (
        "Make a backup of database and files in a new folder: backup make FOLDER. Tell phones about your own dumps: "
        "once one is where it is kept, backup noted drawbar.dump; after restoring one by hand, backup restored."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("what", choices=["make", "noted", "restored"])
        parser.add_argument("dump", nargs="?", type=Path, help="the folder to make, or the dump of pg_dump")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["what"] == "restored":
            _refuse_changeable_history()
            shops = backups.record_restore()
            print(f"Shops: {shops}. Phones load everything again and resend what they stored.")
            return
        if options["dump"] is None:
            raise CommandError("Name the folder or the dump: backup make FOLDER, backup noted drawbar.dump")
        if options["what"] == "make":
            try:
                made = make_backup(options["dump"])
            except BackupRefused as error:
                raise CommandError(str(error)) from None
            print(f"{options['dump']}: shops {made.shops}, files {made.files}. Keep SECRET_KEY with it.")
            return
        try:
            covered = covered_by(options["dump"])
        except UnreadableDump as error:
            raise CommandError(f"{options['dump']} cannot be read; nothing was recorded. {error}") from None
        shops = backups.record_backup(covered)
        if not shops:
            raise CommandError("This is a dump of another history or of other shops; nothing was recorded.")
        print(f"Shops: {shops}. Phones may delete what this dump holds.")


def _refuse_changeable_history() -> None:
    try:
        check_rights()
    except BackupRefused as error:
        raise CommandError(str(error)) from None
