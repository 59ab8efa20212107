"""`erase_customer EMAIL CUSTOMER`: erase a customer's personal data on request; business records stay."""

from argparse import ArgumentParser
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError

from shopapi.accounts import queries
from shopapi.core.errors import DomainError
from shopapi.core.rendering import render
from shopapi.sync.services.erasure import erase_customer


class Command(BaseCommand):
    help = "Erase who a customer is, for the owner who signs in with this address. This can't be undone."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("email", help="the owner's e-mail address")
        parser.add_argument("customer", type=UUID, help="the customer's id")

    def handle(self, *args: Any, **options: Any) -> None:
        user = queries.user_by_email(options["email"])
        actor = queries.actor_for_user(user.pk) if user else None
        if actor is None:
            raise CommandError(f"Nobody signs in as {options['email']}; give the email of the shop owner.")
        try:
            looked_for = erase_customer(actor=actor, customer_id=options["customer"])
        except DomainError as refused:
            raise CommandError(render(refused.reason)) from None
        print(f"Erased; {looked_for} texts were searched for. Phones delete them as soon as they have signal.")
