"""Open the first shop of an installation, with its owner."""

import argparse
import sys
from getpass import getpass
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shopapi.accounts.rules import FirstShop
from shopapi.core.errors import DomainError, FieldError
from shopapi.core.rendering import render
from shopapi.core.schema import parse
from shopapi.quotes.services.shop import open_first_shop

_ASKED = {
    "shop_name": "Shop name",
    "zone": "Time zone, such as America/Chicago",
    "currency": "Currency, such as USD",
    "name": "Your name",
    "email": "Your email, to sign in with",
}
_FLAGS = {
    "shop_name": "--shop-name",
    "zone": "--zone",
    "currency": "--currency",
    "name": "--name",
    "email": "--email",
}


class Command(BaseCommand):
    help = "Open the first shop of an installation, with its owner. Asks for everything that no flag gives."

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        for field, flag in _FLAGS.items():
            parser.add_argument(flag, dest=field, help=_ASKED[field])
        parser.add_argument(
            "--password-stdin", action="store_true", help="read the password from the first line of input"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        given = {field: options[field] or _ask(field) for field in _ASKED}
        given["password"] = sys.stdin.readline().rstrip("\r\n") if options["password_stdin"] else _ask_password()
        try:
            open_first_shop(data=parse(FirstShop, given))
        except DomainError as refused:
            words = " ".join(map(_refusal, refused.fields)) or render(refused.reason)
            raise CommandError(words, returncode=2) from None
        self.stdout.write(f"“{given['shop_name']}” is open; {given['email']} signs in as its owner.")


def _ask(field: str) -> str:
    if not sys.stdin.isatty():
        raise CommandError(f"Missing {_FLAGS[field]}: there is no terminal to ask on.", returncode=2)
    return input(f"{_ASKED[field]}: ").strip()


def _ask_password() -> str:
    if not sys.stdin.isatty():
        raise CommandError("Give the password with --password-stdin: there is no terminal to ask on.", returncode=2)
    password = getpass("Password, 12 characters or more: ")
    if getpass("Repeat the password: ") != password:
        raise CommandError("The two passwords differ. Try again.", returncode=2)
    return password


def _refusal(fault: FieldError) -> str:
    if fault.code == "unknown_zone":
        return "zone: This is no time zone known here. Take a name such as America/Chicago or Europe/Berlin."
    return f"{fault.field}: {render(fault.reason)}"
