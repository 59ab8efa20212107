"""`export_customer EMAIL CUSTOMER FILE`: write everything that is kept on a customer to a ZIP file, on request."""

import os
from argparse import ArgumentParser
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError

from shopapi.accounts import queries
from shopapi.core.errors import DomainError
from shopapi.core.rendering import render
from shopapi.sync.services.customer_export import export_customer


def _for_this_account(path: str, flags: int) -> int:
    # Nobody else of this machine may read it.
    return os.open(path, flags, 0o600)


class Command(BaseCommand):
    help = "Write all rows, pictures, voice notes and PDFs of a customer to a ZIP file, for the owner who signs in so."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("email", help="the owner's e-mail address")
        parser.add_argument("customer", type=UUID, help="the customer's id")
        parser.add_argument("file", type=Path, help="the ZIP file to write; it must not exist")

    def handle(self, *args: Any, **options: Any) -> None:
        user = queries.user_by_email(options["email"])
        actor = queries.actor_for_user(user.pk) if user else None
        if actor is None:
            raise CommandError(f"Nobody signs in as {options['email']}; give the email of the shop owner.")
        try:
            with open(options["file"], "xb", opener=_for_this_account) as file:
                file.write(export_customer(actor=actor, customer_id=options["customer"]))
        except FileExistsError:
            raise CommandError(f"{options['file']} exists; name a file that does not.") from None
        except OSError as trouble:
            raise CommandError(f"{options['file']} can't be written: {trouble.strerror}.") from None
        except DomainError as refused:
            options["file"].unlink()
            raise CommandError(render(refused.reason)) from None
        print(f"Written to {options['file']}, which only this account may read.")
