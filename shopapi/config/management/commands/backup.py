"""`backup noted` and `backup restored`: what phones must know about backups."""

from argparse import ArgumentParser
from datetime import UTC, datetime
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from shopapi.core.clock import now
from shopapi.sync.services import history


class Command(BaseCommand):
    help = (
        "Tell phones about backups. After a verified backup: backup noted [--made-at 2026-01-31T02:00Z]. "
        "After restoring one: backup restored."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("what", choices=["noted", "restored"])
        parser.add_argument("--made-at", default="", help="when the backup was begun (ISO 8601, UTC); now, if left out")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["what"] == "restored":
            _check_rights()
            shops = history.note_restore()
            print(f"Shops: {shops}. Phones take everything anew and send again what they kept.")
            return
        shops = history.note_backup(made_at=_moment(options["made_at"]))
        print(f"Shops: {shops}. Phones may forget what this backup holds.")


def _check_rights() -> None:
    """A dump only says what was granted: where the database granted more from the start, history could be changed."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT has_table_privilege('core_auditevent', 'UPDATE, DELETE')")
        (may_change,) = cursor.fetchone()
    if may_change:
        raise CommandError(
            "The application may change history here. Restore into a database made from template0"
            " (README, “Running it for real”)."
        )


def _moment(text: str) -> datetime:
    if not text:
        return now()
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise CommandError(f"--made-at {text!r} is no moment; write 2026-01-31T02:00Z") from None
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)
