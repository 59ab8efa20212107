"""`benchmark`: time the main paths on this machine. Compare within one run; machines are noisy."""

from argparse import ArgumentParser
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from shopapi.benchmarks.api import measure_api
from shopapi.benchmarks.bench import measure_bench
from shopapi.benchmarks.billing import measure_billing
from shopapi.benchmarks.dispatch import GROWTH, measure_planner
from shopapi.benchmarks.drain import measure_drain
from shopapi.benchmarks.labor import measure_labor
from shopapi.benchmarks.pdf import NothingToMeasure, measure_pdf
from shopapi.benchmarks.recorder import Recorder
from shopapi.benchmarks.reminders import measure_reminders
from shopapi.benchmarks.shops import measure_shops
from shopapi.benchmarks.sync import measure_sync
from shopapi.benchmarks.web import measure_web

# Further benchmarks; each sets up what it needs.
BENCHMARKS: Mapping[str, Sequence[Callable[[Recorder], None]]] = {
    "api": [measure_api],
    "bench": [measure_bench],
    "billing": [measure_billing],
    "drain": [measure_drain],
    "labor": [measure_labor, measure_reminders],
    "reminders": [measure_reminders],
    "shops": [measure_shops],
    "web": [measure_web],
}


ROWS = (1_000, 10_000, 100_000)


class Command(BaseCommand):
    help = (
        "Time work on a shop of its own, which stays in the database: use a scratch folder (up --data DIR). "
        "dispatch times the planner on published instances, against plain PyVRP; bench what a phone "
        "computes; billing totals, registers and files of invoices. These need no database."
    )
    # Benchmarks that need no database run without one.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("what", choices=["sync", "dispatch", "pdf", *BENCHMARKS])
        parser.add_argument("--json", type=Path, help="write the figures to this file too")
        parser.add_argument("--seconds", type=float, default=10.0, help="dispatch: for a plan of over 50 stops (10)")
        parser.add_argument("--repeats", type=int, default=1, help="dispatch: how many seeds (1)")
        parser.add_argument("--grow", type=int, nargs="*", default=list(GROWTH), help="dispatch: sizes of drawn days")
        parser.add_argument("--pdfs", type=int, default=1_000, help="pdf: how many the running worker makes (1000)")
        parser.add_argument("--rows", type=int, nargs="*", default=list(ROWS), help="sync: sizes of the shop")

    def handle(self, *args: Any, **options: Any) -> None:
        figures = Recorder(options["what"], self.stdout.write)
        if options["what"] == "sync":
            measure_sync(figures, options["rows"])
        if options["what"] == "dispatch":
            measure_planner(figures, options["seconds"], options["repeats"], options["grow"])
        if options["what"] == "pdf":
            try:
                measure_pdf(figures, settings.DATA_DIR / "run" / "worker.pid", options["pdfs"])
            except NothingToMeasure as error:
                raise CommandError(str(error)) from None
        for measure in BENCHMARKS.get(options["what"], ()):
            measure(figures)
        if options["json"]:
            figures.write_to(options["json"])
