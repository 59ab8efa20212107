"""`plan`: solve one routing instance with the product's planner, to compare planners."""

import json
import time
from argparse import ArgumentParser, ArgumentTypeError
from math import isfinite
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shopapi.core.errors import Invalid
from shopapi.core.rendering import render
from shopapi.planner.instance import read_instance, solution_of
from shopapi.planner.plan import plan_problem
from shopapi.planner.solver import Budget


class Command(BaseCommand):
    help = 'Plan one file in the neutral instance format and print {"cost", "routes", "feasible", "seconds"}.'
    # It uses no database, so no check of one runs.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the instance, as described in fixtures/routing/SOURCES.md")
        parser.add_argument("--seconds", type=_seconds, default=10.0, help="how long to search at most (10)")
        parser.add_argument("--seed", type=_seed, default=0, help="another seed is another try (0)")

    def handle(self, *args: Any, **options: Any) -> None:
        began = time.perf_counter()
        try:
            problem = read_instance(json.loads(options["file"].read_text(encoding="utf-8")))
        except OSError as error:
            raise CommandError(f"{options['file']} cannot be read: {error.strerror}.") from None
        except ValueError as error:
            raise CommandError(f"{options['file']} is not JSON: {error}.") from None
        except Invalid as refusal:
            fault = refusal.fields[0]
            more = f" ({len(refusal.fields) - 1} more)" if len(refusal.fields) > 1 else ""
            raise CommandError(f"{options['file']}: {fault.field}: {render(fault.reason)}{more}") from None
        plan = plan_problem(problem, Budget(seconds=options["seconds"]), seed=options["seed"])
        answer = {
            "cost": plan.cost,
            "routes": solution_of(plan.routes),
            "feasible": plan.feasible,
            "seconds": round(time.perf_counter() - began, 3),
        }
        self.stdout.write(json.dumps(answer))


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        raise ArgumentTypeError(f"{text} is not a number of seconds") from None
    if not isfinite(seconds) or not 0 < seconds <= 3600:
        raise ArgumentTypeError("the seconds must be above 0 and 3600 at most")
    return seconds


def _seed(text: str) -> int:
    if not text.isdecimal() or int(text) >= 2**31:
        raise ArgumentTypeError(f"{text} is not a whole number from 0 to {2**31 - 1}")
    return int(text)
