"""`contract`: write the phone's types, tables and sentences from the server's resources and catalogs."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from shopapi.config.contract.file import contract, contract_defaults
from shopapi.config.contract.messages import messages
from shopapi.core.resources import all_resources


class Command(BaseCommand):
    help = "Write the phone's types and tables of the server's rows and commands, in TypeScript."

    def add_arguments(self, parser: CommandParser) -> None:
        domain = Path(__file__).parents[4] / "pwa" / "src" / "domain"
        parser.add_argument(
            "--file",
            type=Path,
            default=domain / "contract.ts",
            help="where to write it, contractDefaults.ts and the folder messages beside it",
        )

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        file.write_text(contract(all_resources()), encoding="utf-8")
        file.with_name("contractDefaults.ts").write_text(contract_defaults(all_resources()), encoding="utf-8")
        folder = file.with_name("messages")
        folder.mkdir(exist_ok=True)
        for name, text in messages().items():
            (folder / name).write_text(text, encoding="utf-8")
