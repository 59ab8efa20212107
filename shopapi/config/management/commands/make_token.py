"""`make_token EMAIL --label TEXT`: a key for an API client."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shopapi.accounts import queries
from shopapi.accounts.services import tokens


class Command(BaseCommand):
    help = "Make a key for an API client of the member who signs in with this address. It is shown once."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("email")
        parser.add_argument("--label", required=True, help="what the key is for")

    def handle(self, *args: Any, **options: Any) -> None:
        user = queries.user_by_email(options["email"])
        actor = queries.actor_for_user(user.pk) if user else None
        if actor is None or actor.member_id is None:
            raise CommandError(f"Nobody signs in as {options['email']}; give the address of an active member.")
        system = queries.system_actor(actor.shop_id)
        print(tokens.make_token(actor=system, member_id=actor.member_id, label=options["label"]))
