"""`retry_held`: run held commands that an earlier build did not know or failed on."""

from argparse import ArgumentParser
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError

from shopapi.accounts.queries import every_shop
from shopapi.core.background import SomeShopsFailed, in_each_shop
from shopapi.sync.services.held_commands import retry_held_commands


class Command(BaseCommand):
    help = (
        "Run again, in every shop, the commands of phones that are held because this server did not know them"
        " or failed on them. Runs by itself at the start of a new build; may be repeated."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--quiet", action="store_true", help="print nothing where nothing is held")

    def handle(self, *args: Any, quiet: bool = False, **options: Any) -> None:
        counts = []

        def retry(shop_id: UUID) -> None:
            counts.append(retry_held_commands(shop_id))

        try:
            in_each_shop(every_shop(), retry)
        except SomeShopsFailed as error:
            raise CommandError(str(error)) from None
        finally:
            ran, held = sum(ran for ran, _ in counts), sum(held for _, held in counts)
            if ran or held or not quiet:
                self.stdout.write(f"Held commands of phones run: {ran}. Still held: {held}.")
