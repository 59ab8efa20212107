"""`manage.py test`: set up as `up` does, then run all tests."""

import os
import shutil
import subprocess
import time
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from shopapi.launch import programs_for_tests
from shopapi.launch.console import say, step
from shopapi.launch.errors import LaunchError
from shopapi.launch.install import (
    DEV_LOCK,
    PWA,
    can_install_debian,
    ensure_pango,
    install_debian,
    install_npm_packages,
    install_packages,
    npm,
)
from shopapi.launch.paths import PYTHON, ROOT, DataFolder
from shopapi.launch.programs import run_program

# Each worker has its own servers and database.
EVERY_CORE = ("-n", "logical", "--dist", "worksteal")
CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
MAC_CHROMIUM = (
    Path("/Applications/Chromium.app/Contents/MacOS/Chromium"),
    Path("/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"),
)
ASK_PLAYWRIGHT = (
    "from playwright.sync_api import sync_playwright as s\nwith s() as p: print(p.chromium.executable_path)"
)


def test(pytest_arguments: Sequence[str], *, coverage: bool) -> int:
    """Set up, then run the front end's tests and pytest on every core; with arguments pytest alone, on one core.

    The app is built by the first test that asks for it (fixture `built_app`). With `coverage`, which lines ran
    is noted in `var/test/coverage`; `.ci/coverage_table.py` prints it.

    Returns the exit code: 0 only when nothing failed.

    Raises:
        LaunchError: something must be corrected first.
    """
    environment = set_up()
    front = 0
    if not pytest_arguments:
        say("Tests of the front end (Vitest)")
        command, node_environment = npm("test", *(("--", "--coverage") if coverage else ()))
        front = subprocess.run(command, cwd=PWA, env=node_environment, check=False).returncode
    say("Tests of the server, the whole in a browser (pytest)")
    measured = ("coverage", "run", "-m", "pytest") if coverage else ("pytest",)
    command = [str(PYTHON), "-m", *measured, *(pytest_arguments or EVERY_CORE)]
    back = subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode
    return back or front


class LongRun(NamedTuple):
    """Tests that repeat something as often as the environment variable `variable` says, `often` by default."""

    title: str
    variable: str
    often: int
    tests: tuple[str, ...]


LONG_RUNS = (
    LongRun("seeds of kills", "DRAWBAR_KILLS", 20, ("tests/sync/test_kills.py", "tests/browser/test_killed_phone.py")),
    LongRun("steps of the walk", "DRAWBAR_REPLAYS", 10_000, ("tests/replay/test_replay.py",)),
    LongRun("histories of the state machine", "DRAWBAR_TORTURE", 50, ("tests/sync/test_state_machine.py",)),
    LongRun("operations of the soak", "DRAWBAR_SOAK", 20_000, ("tests/sync/test_soak.py",)),
)


def test_long(mutated: Sequence[str]) -> int:
    """Run what takes hours, one after the other, then print one line about each.

    Args:
        mutated: the apps or rule modules whose mutants are tried; none for all that `tests/mutation.py` names.

    Returns:
        0 when every run passed. Mutants that survive fail nothing: a person looks at them.

    Raises:
        LaunchError: something must be corrected first.
    """
    environment = set_up()
    lines, failed = [], False
    for run in LONG_RUNS:
        often = os.environ.get(run.variable, str(run.often))
        say(f"{often} {run.title}")
        began = time.monotonic()
        command = [str(PYTHON), "-m", "pytest", "-q", *run.tests]
        code = subprocess.run(command, cwd=ROOT, env=environment | {run.variable: often}, check=False).returncode
        minutes = (time.monotonic() - began) / 60
        lines.append(f"{often} {run.title}: {'FAILED' if code else 'passed'} in {minutes:.0f} min")
        failed = failed or code != 0
    say("Mutants of the rules")
    command = [str(PYTHON), "-m", "tests.mutation", *mutated]
    with subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True) as mutation:
        line = ""
        for line in mutation.stdout or ():
            print(line, end="", flush=True)
    lines.append("Mutants: FAILED" if mutation.returncode else line.strip())
    say("\n".join(["Summary", *lines]))
    return int(failed or mutation.returncode != 0)


def set_up() -> dict[str, str]:
    """Install what tests and static gates need; the environment to run them in."""
    data = DataFolder(ROOT / "var" / "test")
    data.create()
    install_packages(DEV_LOCK, data.logs)
    ensure_pango(data.logs)
    install_npm_packages(data.logs)
    for needed in programs_for_tests.ALL:
        needed.ensure(data.logs / "install.log")
    return dict(os.environ) | {"DRAWBAR_CHROMIUM": find_chromium(data.logs / "install.log")}


def find_chromium(log: Path) -> str:
    """The path of a Chromium, installed when there is none.

    Raises:
        LaunchError: none is there and none can be installed from here.
    """
    given = os.environ.get("DRAWBAR_CHROMIUM")
    if given:
        if not os.access(given, os.X_OK):
            raise LaunchError(f"DRAWBAR_CHROMIUM names {given}, which is not a program.")
        return given
    found = _chromium_here()
    if found:
        return found
    with step("Installing Chromium for the browser tests (first time only)"):
        if run_program([str(PYTHON), "-m", "playwright", "install", "chromium"], log).code == 0:
            asked = run_program([str(PYTHON), "-c", ASK_PLAYWRIGHT], log)
            path = asked.output.strip().splitlines()[-1] if asked.output.strip() else ""
            if asked.code == 0 and os.access(path, os.X_OK):
                return path
        if can_install_debian():
            install_debian(("chromium",), log).require("installing Chromium")
            found = _chromium_here()
            if found:
                return found
    raise LaunchError(
        "The browser tests need Chromium and none could be installed: install Chromium or Google Chrome, "
        f"or set DRAWBAR_CHROMIUM to its path (details: {log})."
    )


def _chromium_here() -> str | None:
    on_path = (shutil.which(name) for name in CHROMIUM_NAMES)
    on_mac = (str(path) for path in MAC_CHROMIUM if os.access(path, os.X_OK))
    return next((path for path in (*on_path, *on_mac) if path), None)
