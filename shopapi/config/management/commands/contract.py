"""`contract`: write the phone's types and tables from the server's resources."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from shopapi.config.contract.file import contract
from shopapi.core.resources import all_resources


class Command(BaseCommand):
    help = "Write the phone's types and tables of the server's rows and commands, in TypeScript."

    def add_arguments(self, parser: CommandParser) -> None:
        usual = Path(__file__).parents[4] / "pwa" / "src" / "domain" / "contract.ts"
        parser.add_argument("--file", type=Path, default=usual, help="where to write it")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        file.write_text(contract(all_resources()), encoding="utf-8")
