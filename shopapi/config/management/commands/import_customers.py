"""`import_customers`: import customers from an address book, CSV or vCard."""

import argparse
import csv
from collections.abc import Iterable
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from shopapi.accounts.queries import every_shop, shop_of, system_actor
from shopapi.core.actor import Actor
from shopapi.core.feed import lock_shop
from shopapi.core.tenancy import in_shop
from shopapi.customers.queries import customers, known_customer
from shopapi.customers.rules.address_book import (
    MAX_BYTES,
    MAX_CARDS,
    MIB,
    Book,
    UnreadableBook,
    check_size,
)
from shopapi.customers.rules.address_csv import FIELDS, read_csv
from shopapi.customers.rules.address_plan import DuplicateAction, ImportOutcome, Step, plan_import
from shopapi.customers.rules.address_report import closing_words, printed_row, table
from shopapi.customers.rules.address_vcard import read_vcards
from shopapi.customers.services.import_steps import execute_steps


class Command(BaseCommand):
    help = (
        "Import customers from an address book: CSV (comma, semicolon, tab; UTF-8, UTF-16, Windows-1252) "
        f"or vCard 4.0, 3.0, 2.1. At most {MAX_BYTES // MIB} MiB and {MAX_CARDS} rows at once. "
        "All of it is written in one transaction or none of it; try it with --dry-run first."
    )

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the .csv or .vcf file")
        parser.add_argument("--shop", help="name or id of the shop; needed only when there are several")
        parser.add_argument("--dry-run", action="store_true", help="say what each row would do and write nothing")
        parser.add_argument(
            "--map",
            action="append",
            default=[],
            type=_pair,
            metavar="COLUMN=FIELD",
            help=f"the field of a CSV column, instead of the guess; may be repeated. Fields: {', '.join(FIELDS)}",
        )
        parser.add_argument(
            "--take-duplicates",
            choices=[take.value for take in DuplicateAction],
            default=DuplicateAction.SKIP.value,
            help="what a row does that looks like a customer there already, or like a row before it: "
            "be left out (skip, the default), become one of its own (add), or bring what is new (update)",
        )
        parser.add_argument(
            "--row",
            action="append",
            default=[],
            type=_row_choice,
            metavar="N=skip|add|update",
            help="the same for one row alone; may be repeated",
        )
        parser.add_argument("--leave-refused", action="store_true", help="write the other rows though some are refused")
        parser.add_argument("--report", type=Path, metavar="OUT.csv", help="write the report as a table, to a new file")

    def handle(self, *args: Any, **options: Any) -> None:
        actor = system_actor(_find_shop(options["shop"]))
        try:
            book = _read(options["file"], dict(options["map"]))
        except UnreadableBook as refused:
            raise CommandError(f"{options['file']}: {refused}", returncode=2) from None
        for notice in book.notices:
            self.stdout.write(notice)
        with in_shop(actor.shop_id):
            lock_shop(actor.shop_id)
            steps = _plan(actor, book, DuplicateAction(options["take_duplicates"]), dict(options["row"]))
            steps = execute_steps(actor, steps)
            if options["report"] is not None:
                _write_report(options["report"], steps)
            for step in steps:
                self.stdout.write(printed_row(step))
            any_refused = any(step.does is ImportOutcome.REFUSED for step in steps)
            written = not options["dry_run"] and (options["leave_refused"] or not any_refused)
            transaction.set_rollback(not written)
        self.stdout.write(closing_words(steps, dry_run=options["dry_run"], written=written))
        if any_refused and not written and not options["dry_run"]:
            raise SystemExit(1)


def _pair(text: str) -> tuple[str, str]:
    column, equals, field = text.rpartition("=")
    if not equals or not column.strip():
        raise argparse.ArgumentTypeError(f"'{text}' is not COLUMN=FIELD")
    return column.strip(), field.strip()


def _row_choice(text: str) -> tuple[int, DuplicateAction]:
    row, _, take = text.partition("=")
    if not row.isdecimal() or take not in list(DuplicateAction):
        raise argparse.ArgumentTypeError(f"'{text}' is not N=skip, N=add or N=update")
    return int(row), DuplicateAction(take)


def _find_shop(wanted: str | None) -> UUID:
    shops = {}
    for shop_id in every_shop():
        with in_shop(shop_id):
            shops[shop_id] = shop_of(system_actor(shop_id)).name
    if not shops:
        raise CommandError("There is no shop yet: open one with make_shop first.", returncode=2)
    found = [one for one, name in shops.items() if wanted is None or wanted in (str(one), name)]
    if len(found) == 1:
        return found[0]
    known = ", ".join(f"{name} ({one})" for one, name in shops.items())
    if wanted is None or len(found) > 1:
        raise CommandError(f"Choose the shop by its id: --shop ID. Shops: {known}.", returncode=2)
    raise CommandError(f"There is no shop '{wanted}'. Shops: {known}.", returncode=2)


def _read(path: Path, mapping: dict[str, str]) -> Book:
    try:
        check_size(path.stat().st_size)
        data = path.read_bytes()
    except OSError as error:
        raise UnreadableBook(f"{error.strerror}. Check the name and that you may read it.") from None
    if path.suffix.lower() in (".vcf", ".vcard"):
        if mapping:
            raise UnreadableBook("vCards name their own fields; --map is for CSV files. Leave it out.")
        return read_vcards(data)
    return read_csv(data, mapping)


def _plan(actor: Actor, book: Book, take: DuplicateAction, rows: dict[int, DuplicateAction]) -> tuple[Step, ...]:
    if strangers := sorted(rows.keys() - {card.row for card in book.cards}):
        raise CommandError(f"--row: there is no row {strangers[0]} in the file.", returncode=2)
    known = [known_customer(one) for one in customers(actor).order_by("created_at", "id")]
    return plan_import(book.cards, known, take=take, rows=rows)


def _write_report(path: Path, steps: Iterable[Step]) -> None:
    try:
        with path.open("x", encoding="utf-8-sig", newline="") as file:
            csv.writer(file).writerows(table(steps))
    except FileExistsError:
        raise CommandError(f"There is a file {path} already; name another for the report.", returncode=2) from None
    except OSError as error:
        raise CommandError(f"The report cannot be written to {path}: {error.strerror}.", returncode=2) from None
