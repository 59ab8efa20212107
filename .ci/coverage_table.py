"""Prints what the last `manage.py test --coverage` covered: totals and the least covered modules of both languages."""

import json
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[1]
DATA = ROOT / "var" / "test" / "coverage"
LEAST = 15


class Module(NamedTuple):
    """How many of a module's lines (Python) or statements (TypeScript) ran."""

    path: str
    covered: int
    total: int

    @property
    def percent(self) -> float:
        return 100 * self.covered / self.total if self.total else 100.0


def python_modules() -> list[Module]:
    coverage = [sys.executable, "-m", "coverage"]
    subprocess.run([*coverage, "combine", "--quiet"], cwd=ROOT, check=True)  # noqa: S603
    report = DATA / "python.json"
    subprocess.run([*coverage, "json", "--quiet", "-o", str(report)], cwd=ROOT, check=True)  # noqa: S603
    files = json.loads(report.read_text())["files"]
    return [
        Module(path, found["summary"]["covered_lines"], found["summary"]["num_statements"])
        for path, found in files.items()
    ]


def typescript_modules() -> list[Module]:
    found = json.loads((DATA / "typescript" / "coverage-summary.json").read_text())
    del found["total"]
    return [
        Module(str(Path(path).relative_to(ROOT)), each["statements"]["covered"], each["statements"]["total"])
        for path, each in found.items()
    ]


def show(language: str, modules: list[Module]) -> None:
    covered, total = sum(each.covered for each in modules), sum(each.total for each in modules)
    share = f"{100 * covered / total:.1f} %"
    print(f"{language}: {covered} of {total} covered ({share}) in {len(modules)} modules; the least:")
    for each in sorted(modules, key=lambda module: (module.percent, -module.total))[:LEAST]:
        print(f"  {each.percent:5.1f} %  {each.covered:4} of {each.total:4}  {each.path}")


if __name__ == "__main__":
    show("Python", python_modules())
    show("TypeScript (Vitest alone, without the tests in a browser)", typescript_modules())
