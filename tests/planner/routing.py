"""The neutral instances of fixtures/routing, as problems."""

import json
from pathlib import Path
from typing import Any

from shopapi.planner.instance import read_instance
from shopapi.planner.problem import Problem

ROUTING = Path(__file__).parents[2] / "fixtures" / "routing"
BEST_KNOWN: dict[str, dict[str, Any]] = json.loads((ROUTING / "bks.json").read_text())
KNOWN_ROUTES: dict[str, Any] = json.loads((ROUTING / "bks_routes.json").read_text())
TINY = sorted(name for name in BEST_KNOWN if name.startswith("tiny"))


def payload(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((ROUTING / f"{name}.json").read_text())
    return found


def problem(name: str) -> Problem:
    return read_instance(payload(name))
