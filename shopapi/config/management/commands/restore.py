"""`restore FOLDER`: put a backup of `backup make` into an empty installation."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shopapi.config.backup_sets import BackupRefused, restore_backup


class Command(BaseCommand):
    help = "Restore a backup that `backup make` made, into an installation that holds no shop yet."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            done = restore_backup(options["folder"])
        except BackupRefused as error:
            raise CommandError(str(error), returncode=2) from None
        print(
            f"Shops: {done.shops}, files: {done.files}. Phones load everything again and resend what they stored. "
            "Start web and worker again with the SECRET_KEY of that installation."
        )
