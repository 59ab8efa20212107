"""Finds mutants of the rules that no test finds: `python -m tests.mutation [--quick] [app or module ...]`.

A mutant (`mutants.py`) is tried on the tests of its app's rules that need no database, in a process of its own; one
that they let through is tried on all tests of its app, unless `--quick` is given. Survivors are listed: each is
either a missing assertion, or a change that makes no difference.
"""

import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any

from tests.mutants import CHOSEN, ROOT, Mutant, install, mutants_of

# Money, quotes and the clock.
APPS = ("labor", "quotes", "billing", "sync")
NO_DATABASE = (
    *("--noconftest", "-p", "no:django", "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:playwright"),
    *("--import-mode=importlib", f"--rootdir={ROOT}", "-x", "-q"),
)
# A mutant may run for ever.
LEAST_SECONDS = 20


def modules_of(names: Sequence[str]) -> list[str]:
    """The rule modules of the named apps, and the named modules."""
    found = []
    for name in names:
        if "." in name:
            found.append(name)
            continue
        paths = sorted((ROOT / "shopapi" / name / "rules").glob("*.py"))
        found += [f"shopapi.{name}.rules.{path.stem}" for path in paths if path.stem != "__init__"]
    return found


def app_of(module: str) -> str:
    return module.split(".")[1]


def in_child(work: Callable[[], int], seconds: float) -> int | None:
    """The exit code of `work` in a forked process without output; None when it took longer."""
    child = os.fork()
    if child == 0:
        null = os.open(os.devnull, os.O_RDWR)
        for descriptor in (0, 1, 2):
            os.dup2(null, descriptor)
        code = 1
        try:
            code = work()
        finally:
            os._exit(code)
    limit = time.monotonic() + seconds
    while time.monotonic() < limit:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.01)
    os.kill(child, 9)
    os.waitpid(child, 0)
    return None


@dataclass(frozen=True)
class PureTests:
    """Files of tests that need neither Django nor a database, but for those named by `without`."""

    files: Sequence[Path]
    without: Sequence[str] = ()


class FailureList:
    """A pytest plugin that writes the ids of failed tests to a file."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed:
            with self.path.open("a") as out:
                out.write(f"{report.nodeid}\n")


def run_pure(tests: PureTests, mutant: Mutant | None = None, failures: Path | None = None) -> int:
    """Run them with the same draws each time: until the first failure, or all with a list of `failures`."""
    import hypothesis  # noqa: PLC0415
    import pytest  # noqa: PLC0415

    hypothesis.settings.register_profile("mutants", derandomize=True, database=None, deadline=None)
    hypothesis.settings.load_profile("mutants")
    if mutant is not None:
        install(mutant.module, mutant.nth)
    os.chdir(ROOT)
    options = ["-c", os.devnull, *NO_DATABASE, *(f"--deselect={name}" for name in tests.without)]
    if failures is None:
        return int(pytest.main([*options, *map(str, tests.files)]))
    return int(pytest.main([*options, "--maxfail=0", *map(str, tests.files)], plugins=[FailureList(failures)]))


def pure_tests(app: str) -> PureTests:
    """The tests of an app's rules that pass without a database."""
    named = [path for path in sorted((ROOT / "tests" / app).glob("test_*.py")) if f"{app}.rules" in path.read_text()]
    files, without = [], []
    for path in named:
        with NamedTemporaryFile("r") as noted:
            whole, noting = PureTests([path]), Path(noted.name)
            in_child(lambda part=whole, noting=noting: run_pure(part, failures=noting), 120)  # type: ignore[misc] # mypy does not infer lambdas with defaults
            failed = noted.read().split("\n")[:-1]
        rest = PureTests([path], failed)
        # Not where it cannot be imported without Django, or where no test is left.
        if in_child(lambda part=rest: run_pure(part), 120) == 0:  # type: ignore[misc] # mypy does not infer lambdas with defaults
            files.append(path)
            without += failed
    return PureTests(files, without)


def is_found_by_all_tests(mutant: Mutant) -> bool:
    """Whether any test of the mutant's app fails, with database and all."""
    environment = os.environ | {CHOSEN: f"{mutant.module}:{mutant.nth}"}
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "tests.mutants", f"tests/{app_of(mutant.module)}"]
    return subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, check=False).returncode != 0


def survives(mutant: Mutant, tests: PureTests, seconds: float, *, quick: bool) -> bool:
    """Whether no test fails: first those that name the module, which mostly find it, then the others."""
    named = [path for path in tests.files if f"rules.{mutant.module.rsplit('.', 1)[-1]} " in path.read_text()]
    for files in (named, [path for path in tests.files if path not in named]):
        part = PureTests(files, tests.without)
        if files and in_child(lambda part=part: run_pure(part, mutant), seconds) != 0:  # type: ignore[misc] # mypy does not infer lambdas with defaults
            return False
    return quick or not is_found_by_all_tests(mutant)


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def main(arguments: Sequence[str]) -> int:
    """Print the survivors and the counts of each module; 0 also with survivors, which a person has to look at."""
    # Imported once here, so that each child has them at once.
    import hypothesis  # noqa: F401, PLC0415
    import pydantic  # noqa: F401, PLC0415
    import pytest  # noqa: F401, PLC0415

    quick = "--quick" in arguments
    tests: dict[str, PureTests] = {}
    seconds: dict[str, float] = {}
    found = survived = 0
    for module in modules_of([name for name in arguments if name != "--quick"] or APPS):
        app = app_of(module)
        if app not in tests:
            tests[app] = pure_tests(app)
            began = time.monotonic()
            assert not tests[app].files or in_child(lambda part=tests[app]: run_pure(part), 300) == 0  # type: ignore[misc] # mypy does not infer lambdas with defaults
            seconds[app] = LEAST_SECONDS + 5 * (time.monotonic() - began)
        mutants = mutants_of(module)
        alive = 0
        for mutant in mutants:
            if survives(mutant, tests[app], seconds[app], quick=quick):
                alive += 1
                say(f"  survived: {mutant}")
        found, survived = found + len(mutants) - alive, survived + alive
        say(f"{module}: {len(mutants) - alive} found, {alive} survived")
    say(f"Mutants: {found} found, {survived} survived.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
